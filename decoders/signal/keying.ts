import type { Modulation } from "../records.ts";
import { clearOutside } from "./band.ts";
import { occupiedBand } from "./bandwidth.ts";
import type { Baseband } from "./baseband.ts";
import { type Fft, type Ffts, inverse } from "./fft.ts";
import { measureSymbols, type SymbolMeasure } from "./symbolClock.ts";
import { sharpened, type Tones, toTheEnds } from "./symbolEnds.ts";
import { type Extent, type Stretch, trimBurst } from "./trim.ts";

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

const MOST_POINTS = 2 ** 18;
/** Fourth moment over the square of the second: 1 where the level is constant, 2 for on and off alike. */
const ASK_MOMENT = 1.35;
/** Between these it is not clear which. */
const UNSURE_MOMENTS = [1.15, 1.6] as const;

/** Where to look for a burst, and how. */
export interface Place {
  readonly base: Baseband;
  readonly stretch: Stretch;
  /** Where it was found, relative to the baseband's zero. */
  readonly lowHz: number;
  readonly highHz: number;
  /** Noise power per hertz, full scale 1. */
  readonly noiseDensity: number;
  readonly ffts: Ffts;
}

/** How far a burst reaches, and the keying, carrier, deviation and symbols in that. */
export function measureBurst(place: Place): Extent & { readonly keying: Keying } {
  const { base, stretch, lowHz, highHz, noiseDensity } = place;
  const transform = transformed(place);
  const { re, im } = transform;
  // Longer ones are left as they are.
  let extent: Extent = { whole: stretch, parts: [stretch] };
  if (transform.count === stretch.to - stretch.from) {
    const bandRe = re.slice();
    const bandIm = im.slice();
    const keptHz = clearOutside(bandRe, bandIm, base.rateHz, lowHz, highHz);
    inverse(transform.fft, bandRe, bandIm);
    extent = trimBurst(bandRe, bandIm, stretch, base.rateHz, noiseDensity * keptHz);
  }
  return { ...extent, keying: keyingOf(place, transform, extent.whole) };
}

/** Keying, carrier, deviation and symbols of the stretch as it is. */
export function measureKeying(place: Place): Keying {
  return keyingOf(place, transformed(place), place.stretch);
}

/** The transform of a stretch, zeros behind it. */
interface Transform {
  readonly fft: Fft;
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Elements that went in. */
  readonly count: number;
}

function transformed({ base, stretch: { from, to }, ffts }: Place): Transform {
  const count = Math.min(to - from, MOST_POINTS);
  const size = 2 ** Math.max(6, Math.ceil(Math.log2(count)));
  const fft = ffts(size);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(base.re.subarray(from, from + count));
  im.set(base.im.subarray(from, from + count));
  fft.forward(re, im);
  return { fft, re, im, count };
}

/** @param transform Of the place's stretch; not to be used again. */
function keyingOf(place: Place, { fft, re, im, count: given }: Transform, whole: Stretch): Keying {
  const { base, lowHz, highHz, noiseDensity } = place;
  const size = fft.size;
  const first = whole.from - place.stretch.from;
  const count = Math.min(given - first, whole.to - whole.from);
  const binHz = base.rateHz / size;
  const density = new Float64Array(size);
  const scale = 1 / (count * base.rateHz);
  const middle = size / 2;
  for (let k = 0, to = middle; k < size; k++, to++) {
    if (to === size) to = 0;
    density[to] = scale * (re[k]! * re[k]! + im[k]! * im[k]!);
  }
  // What lies around the burst brought noise as well.
  const ownNoise = (noiseDensity * given) / count;
  const spectrum = smoothed(density, Math.max(1, Math.round(smoothingHz(count, base.rateHz) / binHz)));
  for (let k = 0; k < size; k++) spectrum[k] = spectrum[k]! - ownNoise;

  const guardHz = 12_000;
  const broad = smoothed(density, Math.max(1, Math.round(Math.max(1500, (20 * base.rateHz) / count) / binHz)));
  for (let k = 0; k < size; k++) broad[k] = broad[k]! - ownNoise;
  const band = occupied(broad, binHz, lowHz - guardHz, highHz + guardHz, ownNoise);
  const power = band.power;
  const bandHz = Math.max(binHz, band.highHz - band.lowHz);
  const snr = power / Math.max(1e-30, noiseDensity * bandHz);

  // Only the burst's own band, so that the level and the frequency can be read from sample to sample.
  const marginHz = 0.2 * bandHz + 500;
  const passedHz = clearOutside(re, im, base.rateHz, band.lowHz - marginHz, band.highHz + marginHz);
  inverse(fft, re, im);
  const ownRe = re.subarray(first, first + count);
  const ownIm = im.subarray(first, first + count);
  const level = new Float64Array(count);
  for (let i = 0; i < count; i++) level[i] = Math.sqrt(ownRe[i]! * ownRe[i]! + ownIm[i]! * ownIm[i]!);
  const moment = levelMoment(level, noiseDensity * passedHz);

  const sure = snr > 2 && (moment < UNSURE_MOMENTS[0] || moment > UNSURE_MOMENTS[1]);
  const shape = { sure, lowHz: band.lowHz, highHz: band.highHz, power, snr, spectrum, binHz };
  // A single pulse fills about twenty times the inverse of its length; a telegram has many symbols in that time.
  const unkeyedHz = Math.max(1500, (40 * base.rateHz) / count);
  const keyed = moment >= ASK_MOMENT || bandHz >= unkeyedHz;
  if (!keyed) {
    const centreHz = peakHz(density, binHz, band);
    return { ...shape, modulation: undefined, centreHz, deviationHz: undefined, symbols: undefined };
  }
  if (moment >= ASK_MOMENT) {
    const measure = symbolsOf(level, twoLevels(level), bandHz, bandHz, place);
    const centreHz = peakHz(density, binHz, band);
    const symbols = measure && toTheEnds(measure, tonesOf(measure, base, whole.from, centreHz, undefined));
    return { ...shape, modulation: "ask", centreHz, deviationHz: undefined, symbols };
  }
  const frequency = instantaneousHz(ownRe, ownIm, base.rateHz);
  const levels = twoLevels(frequency);
  // What the two frequencies do not take of the band, the symbols do.
  const fastestHz = Math.max(bandHz / 4, bandHz - 1.8 * levels.half);
  const [low, high] = [levels.middle - levels.half, levels.middle + levels.half];
  const measure = symbolsOf(frequency, levels, bandHz, fastestHz, place);
  if (!measure)
    return { ...shape, modulation: "fsk", centreHz: levels.middle, deviationHz: levels.half, symbols: undefined };
  const tones = tonesOf(measure, base, whole.from, high, low);
  const sharp = sharpened(measure, { ...tones, low: tones.low! });
  const centreHz = ((sharp.high + sharp.low) / 2) * base.rateHz;
  const deviationHz = ((sharp.high - sharp.low) / 2) * base.rateHz;
  return { ...shape, modulation: "fsk", centreHz, deviationHz, symbols: toTheEnds(measure, sharp) };
}

function symbolsOf(
  values: Float64Array,
  { middle, half }: Levels,
  bandHz: number,
  fastestHz: number,
  { base, ffts }: Place,
): SymbolMeasure | undefined {
  const wave = new Float64Array(values.length);
  for (let i = 0; i < wave.length; i++) wave[i] = (values[i]! - middle) / half;
  return measureSymbols(wave, base.rateHz, bandHz, fastestHz, ffts);
}

/** @param from Element of the baseband from which the symbols count. */
function tonesOf(
  { rateHz }: SymbolMeasure,
  base: Baseband,
  from: number,
  highHz: number,
  lowHz: number | undefined,
): Tones {
  const { re, im } = base;
  const low = lowHz === undefined ? undefined : lowHz / base.rateHz;
  return { re, im, from, period: base.rateHz / rateHz, high: highHz / base.rateHz, low };
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
  for (let i = 0; i < level.length; i++) {
    const square = level[i]! * level[i]!;
    second += square;
    fourth += square * square;
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

function instantaneousHz(re: Float64Array, im: Float64Array, rateHz: number): Float64Array {
  const out = new Float64Array(re.length);
  const scale = rateHz / (2 * Math.PI);
  for (let i = 1; i < re.length; i++) {
    const r = re[i]! * re[i - 1]! + im[i]! * im[i - 1]!;
    const m = im[i]! * re[i - 1]! - re[i]! * im[i - 1]!;
    out[i] = Math.atan2(m, r) * scale;
  }
  out[0] = out[1] ?? 0;
  return out;
}

/** Two levels that values gather around: the point between them and half their distance. */
export interface Levels {
  readonly middle: number;
  readonly half: number;
}

/** Shares of the values' range by which they are counted: finer than their noise. */
const LEVEL_BINS = 4096;

/** The two levels that values gather around; found by two means, told by medians. */
export function twoLevels(values: Float64Array): Levels {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  if (!(most > least)) return { middle: values.length > 0 ? least : 0, half: 1e-12 };
  // Counted rather than sorted: `below[b]` values lie under the bin's lower edge.
  const width = (most - least) / LEVEL_BINS;
  const below = new Uint32Array(LEVEL_BINS + 1);
  for (let i = 0; i < values.length; i++) {
    const bin = Math.min(LEVEL_BINS - 1, Math.floor((values[i]! - least) / width));
    below[bin + 1] = below[bin + 1]! + 1;
  }
  for (let b = 0; b < LEVEL_BINS; b++) below[b + 1] = below[b + 1]! + below[b]!;
  const valueAt = (rank: number) => least + width * placeOf(below, rank);
  const total = values.length;
  let low = valueAt(0.1 * total);
  let high = valueAt(0.9 * total);
  for (let round = 0; round < 8; round++) {
    const at = Math.min(LEVEL_BINS, Math.max(0, ((low + high) / 2 - least) / width));
    const bin = Math.min(LEVEL_BINS - 1, Math.floor(at));
    const cut = below[bin]! + (at - bin) * (below[bin + 1]! - below[bin]!);
    if (cut < 1 || cut > total - 1) break;
    low = valueAt(cut / 2);
    high = valueAt((cut + total) / 2);
  }
  return { middle: (low + high) / 2, half: Math.max(1e-12, (high - low) / 2) };
}

/** Bin, and how far into it, under which `rank` values lie. */
function placeOf(below: Uint32Array, rank: number): number {
  let from = 0;
  let to = below.length - 1;
  while (to - from > 1) {
    const mid = (from + to) >> 1;
    if (below[mid]! <= rank) from = mid;
    else to = mid;
  }
  const inside = below[to]! - below[from]!;
  return from + (inside > 0 ? Math.min(1, (rank - below[from]!) / inside) : 0);
}
