import type { Detector } from "./detector.ts";
import { sumBetween } from "./tones.ts";

/** Where a frame's symbols lie, and what is known of them before they are decided. */
export interface TrackedStretch {
  /** Element of the baseband at which the first known symbol starts, and elements a symbol. */
  readonly at: number;
  readonly period: number;
  readonly rateHz: number;
  /** The symbols before the frame, +1 or −1. */
  readonly known: Int8Array;
  /** Symbols of the frame that evidence is wanted for, and how many of them lie inside the burst. */
  readonly count: number;
  readonly inside: number;
  /** Expected energy of noise alone in a symbol. */
  readonly noise: number;
  /** Symbol from which on every two are opposite ones: a bit, or the halves of two about a boundary. `undefined`: none. */
  readonly pairsFrom: number | undefined;
}

/** Pieces of a symbol between which frequency and drift may still be changed. */
export const PIECES = 4;

/**
 * How far FSK has leant to the upper frequency as a symbol begins, in symbols, if that symbol is a one or a zero: nothing
 * at the beginning of a pair, and its second symbol stands after the opposite one.
 */
export function leansBefore(known: Int8Array, pairsFrom: number): Record<"one" | "zero", (symbol: number) => number> {
  const sums = new Int16Array(pairsFrom + 1);
  for (let j = pairsFrom - 1; j >= 0; j--) sums[j] = sums[j + 1]! - known[j]!;
  const inPair = (j: number) => (j - pairsFrom) % 2;
  return {
    one: (j) => (j < pairsFrom ? sums[j]! : -inPair(j)),
    zero: (j) => (j < pairsFrom ? sums[j]! : inPair(j)),
  };
}

/** Complex sums of a symbol under either hypothesis, both with the carrier's phase where the hypothesis holds. */
export interface Phasors {
  readonly oneRe: Float64Array;
  readonly oneIm: Float64Array;
  readonly zeroRe: Float64Array;
  readonly zeroIm: Float64Array;
}

export function emptyPhasors(length: number): Phasors {
  return {
    oneRe: new Float64Array(length),
    oneIm: new Float64Array(length),
    zeroRe: new Float64Array(length),
    zeroIm: new Float64Array(length),
  };
}

export function cutPieces(
  detector: Detector,
  { at, period, rateHz, known, pairsFrom }: TrackedStretch,
  symbols: number,
): Phasors {
  const out = emptyPhasors(symbols * PIECES);
  const { high, low } = detector;
  const deviationHz = low ? (high.hz - low.hz) / 2 : 0;
  const turnASymbol = (2 * Math.PI * deviationHz * period) / rateHz;
  const leans = leansBefore(known, pairsFrom ?? known.length);
  for (let j = 0; j < symbols; j++) {
    const start = at + j * period;
    const begun = (2 * Math.PI * deviationHz * start) / rateHz;
    const oneTurn = begun - turnASymbol * leans.one(j);
    const zeroTurn = -begun - turnASymbol * leans.zero(j);
    for (let piece = 0; piece < PIECES; piece++) {
      const from = start + (piece * period) / PIECES;
      const k = j * PIECES + piece;
      const one = sumBetween(high, from, from + period / PIECES);
      out.oneRe[k] = one.re * Math.cos(oneTurn) - one.im * Math.sin(oneTurn);
      out.oneIm[k] = one.re * Math.sin(oneTurn) + one.im * Math.cos(oneTurn);
      if (!low) continue;
      const zero = sumBetween(low, from, from + period / PIECES);
      out.zeroRe[k] = zero.re * Math.cos(zeroTurn) - zero.im * Math.sin(zeroTurn);
      out.zeroIm[k] = zero.re * Math.sin(zeroTurn) + zero.im * Math.cos(zeroTurn);
    }
  }
  return out;
}

export function turnBy(re: Float64Array, im: Float64Array, j: number, turn: number): void {
  const a = re[j]!;
  const b = im[j]!;
  re[j] = a * Math.cos(turn) - b * Math.sin(turn);
  im[j] = a * Math.sin(turn) + b * Math.cos(turn);
}

/** What a symbol tells of the phase, as far as it is decided. For ASK an off tells nothing: its zero is 0. */
export function taken(phasors: Phasors, decided: Float64Array, j: number): [re: number, im: number] {
  const p = decided[j]!;
  return [p * phasors.oneRe[j]! + (1 - p) * phasors.zeroRe[j]!, p * phasors.oneIm[j]! + (1 - p) * phasors.zeroIm[j]!];
}

export function sigmoid(x: number): number {
  return 1 / (1 + Math.exp(-x));
}
