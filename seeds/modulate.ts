import type { Layout } from "../decoders/layouts/schema.ts";
import { cosSin } from "./arithmetic.ts";
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
}

/** Length of a row of symbols on air. */
export function onAirSeconds(copy: Pick<Copy, "layout" | "symbols" | "clockPpm">): number {
  return copy.symbols.length * symbolSeconds(copy);
}

/**
 * The amplitude at which a copy has the wanted Eb/N0, where Eb is the mean power over the copy times the time of one
 * frame bit, and N0 the noise power over the sample rate.
 *
 * @param noisePower Mean |noise|² over the whole band, 1 at full scale.
 */
export function amplitudeFor(
  layout: Layout,
  symbols: Uint8Array,
  ebN0: number,
  noisePower: number,
  sampleRateHz: number,
): number {
  const bitSeconds = symbolsPerBit(layout) / layout.symbolRate;
  const meanPower = (ebN0 * noisePower) / sampleRateHz / bitSeconds;
  return Math.sqrt(meanPower / onShare(layout, symbols));
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

  const start = Math.max(0, Math.floor(atSeconds * sampleRateHz) - 1 - firstSample);
  const end = Math.min(
    iq.length / 2,
    Math.floor((atSeconds + symbols.length * period) * sampleRateHz) + 2 - firstSample,
  );
  for (let n = start; n < end; n++) {
    const seconds = (firstSample + n) / sampleRateHz;
    const since = seconds - atSeconds;
    const level = meanLevel(symbols, since / period - perSample / 2, perSample, isFsk);
    if (level === 0) continue;
    // The edges' samples may lie a little before or behind the copy: the outer symbols are drawn out over them.
    const index = Math.min(symbols.length - 1, Math.max(0, Math.floor(since / period)));
    const keying = sums[index]! * period + (since - index * period) * (2 * symbols[index]! - 1);
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

/** Mean on-state over an interval that begins at `from` (in symbols) and is at most one symbol long. */
function meanLevel(symbols: Uint8Array, from: number, length: number, isFsk: boolean): number {
  const first = Math.floor(from);
  const second = Math.floor(from + length);
  const a = first < 0 || first >= symbols.length ? 0 : isFsk ? 1 : symbols[first]!;
  if (second === first) return a;
  const b = second < 0 || second >= symbols.length ? 0 : isFsk ? 1 : symbols[second]!;
  return a === b ? a : (a * (second - from) + b * (from + length - second)) / length;
}
