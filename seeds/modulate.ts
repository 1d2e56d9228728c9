import type { Layout } from "../decoders/layouts/schema.ts";
import { cosSin, exp, powerFromDb } from "./arithmetic.ts";
import { symbolsPerBit } from "./encode/frame-symbols.ts";

/** One copy of a telegram as a signal about a receiver's centre. */
export interface Copy {
  readonly layout: Pick<Layout, "modulation" | "deviationHz" | "symbolRate">;
  /** One symbol each, 0 or 1. */
  readonly symbols: Uint8Array;
  /** When the first symbol begins; sample n of the recording lies at n / sampleRateHz. */
  readonly atSeconds: number;
  /** Of the carrier from the centre, as the copy begins. */
  readonly offsetHz: number;
  readonly driftHzPerSecond: number;
  /** The sender's clock; a fast one (above 0) sends shorter symbols. */
  readonly clockPpm: number;
  readonly phaseTurns: number;
  /** Of the carrier while it is on, 1 at full scale. */
  readonly amplitude: number;
  /** How its edges look; sharp, and dark between them, where nothing is said. */
  readonly shape?: Shape;
}

/** What a real transmitter makes of the edges of its symbols. */
export interface Shape {
  /** ASK: the amplitude goes in a straight line over this time about each edge, at most a symbol. */
  readonly rampSeconds?: number;
  /** ASK: how far an off lies below an on. */
  readonly extinctionDb?: number;
  /** FSK: 3 dB bandwidth of the Gaussian filter before the modulator, times the symbol time. */
  readonly bt?: number;
}

/** Length of a row of symbols on air. */
export function onAirSeconds(copy: Pick<Copy, "layout" | "symbols" | "clockPpm">): number {
  return copy.symbols.length * symbolSeconds(copy);
}

/**
 * The amplitude at which a copy has the wanted Eb/N0, where Eb is the mean power over the copy times the time of one
 * frame bit, and N0 the noise power over the sample rate. Ramps are counted as if they were sharp edges.
 *
 * @param noisePower Mean |noise|² over the whole band, 1 at full scale.
 */
export function amplitudeFor(
  layout: Layout,
  symbols: Uint8Array,
  ebN0: number,
  noisePower: number,
  sampleRateHz: number,
  shape?: Shape,
): number {
  const bitSeconds = symbolsPerBit(layout) / layout.symbolRate;
  const meanPower = (ebN0 * noisePower) / sampleRateHz / bitSeconds;
  const on = onShare(layout, symbols);
  return Math.sqrt(meanPower / (on + (1 - on) * offLevel(shape) ** 2));
}

/** Part of a copy in which its carrier is on: 1 for FSK. */
export function onShare(layout: Pick<Layout, "modulation">, symbols: Uint8Array): number {
  if (layout.modulation === "fsk") return 1;
  return symbols.reduce((ones, symbol) => ones + symbol, 0) / symbols.length;
}

/**
 * Adds a copy's part of a block of samples; FSK keeps its phase through every change of frequency.
 *
 * The phase is that of the sample's own moment. The amplitude is the mean over the sample's interval, so an edge within
 * a sample leaves a part of it, and no symbol gains or loses when it is no whole number of samples.
 *
 * @param iq Interleaved, I first. Modified.
 * @param firstSample Index in the recording of the block's first sample.
 * @param gainAt Factor on the amplitude at a moment of the recording.
 * @throws RangeError if a symbol is shorter than a sample.
 */
export function addCopy(
  iq: Float64Array,
  firstSample: number,
  sampleRateHz: number,
  copy: Copy,
  gainAt?: (seconds: number) => number,
): void {
  const { symbols, atSeconds, offsetHz, driftHzPerSecond, phaseTurns, amplitude } = copy;
  const period = symbolSeconds(copy);
  const perSample = 1 / (sampleRateHz * period); // symbols in a sample's interval
  if (perSample > 1) throw new RangeError(`${copy.layout.symbolRate} symbols/s in ${sampleRateHz} samples/s`);
  const isFsk = copy.layout.modulation === "fsk";
  const deviationHz = isFsk ? (copy.layout.deviationHz ?? 0) : 0;
  const sums = isFsk ? runningSums(symbols) : new Int32Array(symbols.length + 1);
  const unit = new Float64Array(2);
  const off = isFsk ? 0 : offLevel(copy.shape);
  const ramp = isFsk ? 0 : (copy.shape?.rampSeconds ?? 0) / period;
  if (ramp > 1) throw new RangeError(`ramps of ${ramp} symbols`);
  const smooth = Math.max(perSample, ramp);
  const sigma = copy.shape?.bt === undefined ? 0 : Math.sqrt(Math.LN2) / (2 * Math.PI * copy.shape.bt);

  const around = Math.ceil(smooth / perSample / 2);
  const start = Math.max(0, Math.floor(atSeconds * sampleRateHz) - around - firstSample);
  const end = Math.min(
    iq.length / 2,
    Math.floor((atSeconds + symbols.length * period) * sampleRateHz) + 1 + around - firstSample,
  );
  for (let n = start; n < end; n++) {
    const seconds = (firstSample + n) / sampleRateHz;
    const since = seconds - atSeconds;
    const keyed = meanLevel(symbols, since / period - smooth / 2, smooth, isFsk);
    const rest = off === 0 ? 0 : off * (meanLevel(symbols, since / period - perSample / 2, perSample, true) - keyed);
    const level = keyed + rest;
    if (level === 0) continue;
    // The edges' samples may lie a little before or behind the copy: the outer symbols are drawn out over them.
    const index = Math.min(symbols.length - 1, Math.max(0, Math.floor(since / period)));
    const keying =
      sums[index]! * period +
      (since - index * period) * (2 * symbols[index]! - 1) +
      (sigma > 0 && isFsk ? period * rounding(symbols, since / period, sigma) : 0);
    const turns = phaseTurns + deviationHz * keying + since * (offsetHz + (driftHzPerSecond * since) / 2);
    cosSin(turns, unit);
    const size = amplitude * level * (gainAt ? gainAt(seconds) : 1);
    iq[2 * n]! += size * unit[0]!;
    iq[2 * n + 1]! += size * unit[1]!;
  }
}

function symbolSeconds(copy: Pick<Copy, "layout" | "clockPpm">): number {
  return 1 / (copy.layout.symbolRate * (1 + copy.clockPpm * 1e-6));
}

/** Ones minus zeros before each symbol. */
function runningSums(symbols: Uint8Array): Int32Array {
  const sums = new Int32Array(symbols.length + 1);
  for (let i = 0; i < symbols.length; i++) sums[i + 1] = sums[i]! + 2 * symbols[i]! - 1;
  return sums;
}

/** Amplitude of an off, 1 being that of an on. */
function offLevel(shape: Shape | undefined): number {
  return shape?.extinctionDb === undefined ? 0 : Math.sqrt(powerFromDb(-shape.extinctionDb));
}

/**
 * What a Gaussian filter adds to the running sum of the symbols: at each edge, where one step turns into a ramp of the
 * normal distribution's shape, the integral of the difference.
 *
 * @param at In symbols.
 * @param sigma Of the filter's impulse response, in symbols.
 */
function rounding(symbols: Uint8Array, at: number, sigma: number): number {
  let sum = 0;
  const reach = 6 * sigma;
  for (let edge = Math.max(1, Math.ceil(at - reach)); edge <= Math.min(symbols.length - 1, at + reach); edge++) {
    const step = 2 * (symbols[edge]! - symbols[edge - 1]!);
    if (step === 0) continue;
    const z = Math.abs(at - edge) / sigma;
    const density = exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
    sum += step * sigma * (density - z * density * millsRatio(z));
  }
  return sum;
}

/**
 * The normal distribution's tail beyond z ≥ 0 over its density there.
 *
 * @source Abramowitz and Stegun, 26.2.17, absolute error of the tail below 7.5e-8 (from memory).
 */
function millsRatio(z: number): number {
  const t = 1 / (1 + 0.2316419 * z);
  return t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
}

/** Mean on-state over an interval that begins at `from` (in symbols) and is at most one symbol long. */
function meanLevel(symbols: Uint8Array, from: number, length: number, isFsk: boolean): number {
  const first = Math.floor(from);
  const second = Math.floor(from + length);
  const a = first < 0 || first >= symbols.length ? 0 : isFsk ? 1 : symbols[first]!;
  if (second === first) return a;
  const b = second < 0 || second >= symbols.length ? 0 : isFsk ? 1 : symbols[second]!;
  return a === b ? a : (a * (second - from) + b * (from + length - second)) / length;
}
