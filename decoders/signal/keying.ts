import type { Modulation } from "../records.ts";
import { clearOutside } from "./band.ts";
import { occupiedBand } from "./bandwidth.ts";
import type { Baseband } from "./baseband.ts";
import { type Ffts, inverse } from "./fft.ts";
import { measureSymbols, type SymbolMeasure } from "./symbolClock.ts";
import type { Stretch } from "./trim.ts";

/** What a burst is, measured without any layout. Frequencies are relative to the baseband's zero. */
export interface Keying {
  /** `undefined`: a carrier without keying. */
  readonly modulation: Modulation | undefined;
  /** False where the level is neither steady nor clearly switched: it may be the other modulation. */
  readonly sure: boolean;
  readonly centreHz: number;
  /** FSK only. */
  readonly deviationHz: number | undefined;
  /** The band that holds 99 % of the power. */
  readonly lowHz: number;
  readonly highHz: number;
  /** Mean power while it lasted, full scale 1. */
  readonly power: number;
  /** Over the noise in that band, as a ratio. */
  readonly snr: number;
  readonly symbols: SymbolMeasure | undefined;
  /** Power per hertz over the noise, element k at (k − size/2)·binHz. */
  readonly spectrum: Float64Array;
  readonly binHz: number;
}

const MOST_POINTS = 2 ** 17;
/** Fourth moment over the square of the second: 1 where the level is constant, 2 for on and off alike. */
const ASK_MOMENT = 1.35;
/** Between these it is not clear which. */
const UNSURE_MOMENTS = [1.15, 1.6] as const;

/**
 * Measures keying, carrier, deviation and symbols of a burst.
 *
 * @param stretch The burst's elements in the baseband.
 * @param lowHz Where the burst was found, relative to the baseband's zero.
 * @param noiseDensity Noise power per hertz, full scale 1.
 */
export function measureKeying(
  base: Baseband,
  { from, to }: Stretch,
  lowHz: number,
  highHz: number,
  noiseDensity: number,
  ffts: Ffts,
): Keying {
  const count = Math.min(to - from, MOST_POINTS);
  const size = 2 ** Math.max(6, Math.ceil(Math.log2(count)));
  const fft = ffts(size);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(base.re.subarray(from, from + count));
  im.set(base.im.subarray(from, from + count));
  fft.forward(re, im);
  const binHz = base.rateHz / size;
  const density = new Float64Array(size);
  for (let k = 0; k < size; k++) {
    density[(k + size / 2) % size] = (re[k]! ** 2 + im[k]! ** 2) / (count * base.rateHz);
  }
  const spectrum = smoothed(density, Math.max(1, Math.round(smoothingHz(count, base.rateHz) / binHz)));
  for (let k = 0; k < size; k++) spectrum[k] = spectrum[k]! - noiseDensity;

  const guardHz = 12_000;
  const broad = smoothed(density, Math.max(1, Math.round(Math.max(1500, (20 * base.rateHz) / count) / binHz)));
  for (let k = 0; k < size; k++) broad[k] = broad[k]! - noiseDensity;
  const band = occupied(broad, binHz, lowHz - guardHz, highHz + guardHz, noiseDensity);
  const power = band.power;
  const bandHz = Math.max(binHz, band.highHz - band.lowHz);
  const snr = power / Math.max(1e-30, noiseDensity * bandHz);

  // Only the burst's own band, so that the level and the frequency can be read from sample to sample.
  const marginHz = 0.2 * bandHz + 500;
  const passedHz = clearOutside(re, im, base.rateHz, band.lowHz - marginHz, band.highHz + marginHz);
  inverse(fft, re, im);
  const level = new Float64Array(count);
  for (let i = 0; i < count; i++) level[i] = Math.hypot(re[i]!, im[i]!);
  const moment = levelMoment(level, noiseDensity * passedHz);

  const sure = snr > 2 && (moment < UNSURE_MOMENTS[0] || moment > UNSURE_MOMENTS[1]);
  const shape = { sure, lowHz: band.lowHz, highHz: band.highHz, power, snr, spectrum, binHz };
  // A single pulse fills about twenty times the inverse of its length; a telegram has many symbols in that time.
  const unkeyedHz = Math.max(1500, (40 * base.rateHz) / count);
  if (moment < ASK_MOMENT && bandHz < unkeyedHz) {
    return {
      ...shape,
      modulation: undefined,
      centreHz: peakHz(density, binHz, band),
      deviationHz: undefined,
      symbols: undefined,
    };
  }
  const shortest = base.rateHz / Math.max(2000, bandHz);
  if (moment >= ASK_MOMENT) {
    const split = twoLevels(level);
    const wave = level.map((v) => (v - split.middle) / split.half);
    const symbols = measureSymbols(wave, base.rateHz, shortest / 2, ffts);
    return { ...shape, modulation: "ask", centreHz: peakHz(density, binHz, band), deviationHz: undefined, symbols };
  }
  const frequency = instantaneousHz(re, im, count, base.rateHz);
  const split = twoLevels(frequency);
  const wave = frequency.map((v) => (v - split.middle) / split.half);
  const symbols = measureSymbols(wave, base.rateHz, shortest / 2, ffts);
  return { ...shape, modulation: "fsk", centreHz: split.middle, deviationHz: split.half, symbols };
}

/** Short bursts show their lines over a wider band. */
function smoothingHz(count: number, rateHz: number): number {
  return Math.max(300, (4 * rateHz) / count);
}

function smoothed(values: Float64Array, width: number): Float64Array {
  const out = new Float64Array(values.length);
  const half = width >> 1;
  let sum = 0;
  let from = 0;
  let to = 0;
  for (let i = 0; i < values.length; i++) {
    while (to < values.length && to <= i + half) sum += values[to++]!;
    while (from < i - half) sum -= values[from++]!;
    out[i] = sum / (to - from);
  }
  return out;
}

interface Band {
  readonly lowHz: number;
  readonly highHz: number;
  readonly power: number;
}

/** The band that 47 CFR 2.202 counts as occupied, with the power in it. */
function occupied(spectrum: Float64Array, binHz: number, lowHz: number, highHz: number, noise: number): Band {
  const size = spectrum.length;
  const first = Math.max(0, Math.round(lowHz / binHz) + size / 2);
  const last = Math.min(size - 1, Math.round(highHz / binHz) + size / 2);
  // Noise that pokes out of its mean must not widen the band of a weak burst.
  const own = spectrum.slice(first, last + 1).map((value) => (value > noise ? value : 0));
  const band = occupiedBand(own, binHz, (first - size / 2) * binHz) ?? { lowHz, highHz };
  const low = Math.max(first, Math.round(band.lowHz / binHz) + size / 2);
  const high = Math.min(last, Math.round(band.highHz / binHz) + size / 2);
  let power = 0;
  for (let k = low; k <= high; k++) power += spectrum[k]! * binHz;
  return { lowHz: band.lowHz, highHz: band.highHz, power: Math.max(power, 1e-30) };
}

/** E|s|⁴/(E|s|²)² of the signal, with complex Gaussian noise of the given power taken out. */
function levelMoment(level: Float64Array, noise: number): number {
  let second = 0;
  let fourth = 0;
  for (const v of level) {
    second += v * v;
    fourth += v ** 4;
  }
  second /= level.length;
  fourth /= level.length;
  const signal = second - noise;
  if (signal <= 0.1 * noise) return 2;
  return (fourth - 4 * signal * noise - 2 * noise * noise) / (signal * signal);
}

/** Frequency of the strongest line, between bins by a parabola. */
function peakHz(density: Float64Array, binHz: number, band: Band): number {
  const half = density.length / 2;
  const first = Math.max(1, Math.floor(band.lowHz / binHz + half) - 1);
  const last = Math.min(density.length - 2, Math.ceil(band.highHz / binHz + half) + 1);
  let best = first;
  for (let k = first; k <= last; k++) if (density[k]! > density[best]!) best = k;
  const a = Math.sqrt(density[best - 1]!);
  const b = Math.sqrt(density[best]!);
  const c = Math.sqrt(density[best + 1]!);
  const shift = a > c ? -a / (a + b) : c / (b + c);
  return (best + (b > 0 ? shift : 0) - half) * binHz;
}

function instantaneousHz(re: Float64Array, im: Float64Array, count: number, rateHz: number): Float64Array {
  const out = new Float64Array(count);
  const scale = rateHz / (2 * Math.PI);
  for (let i = 1; i < count; i++) {
    const r = re[i]! * re[i - 1]! + im[i]! * im[i - 1]!;
    const m = im[i]! * re[i - 1]! - re[i]! * im[i - 1]!;
    out[i] = Math.atan2(m, r) * scale;
  }
  out[0] = out[1] ?? 0;
  return out;
}

/** Middle and half distance of the two levels that values gather around; found by two means, told by medians. */
export function twoLevels(values: Float64Array): { middle: number; half: number } {
  const sorted = values.slice().sort();
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;
  let low = at(0.1);
  let high = at(0.9);
  for (let round = 0; round < 8; round++) {
    const middle = (low + high) / 2;
    const cut = lowerBound(sorted, middle);
    if (cut === 0 || cut === sorted.length) break;
    low = sorted[cut >> 1]!;
    high = sorted[(cut + sorted.length) >> 1]!;
  }
  return { middle: (low + high) / 2, half: Math.max(1e-12, (high - low) / 2) };
}

function lowerBound(sorted: Float64Array, value: number): number {
  let from = 0;
  let to = sorted.length;
  while (from < to) {
    const mid = (from + to) >> 1;
    if (sorted[mid]! < value) from = mid + 1;
    else to = mid;
  }
  return from;
}
