import type { Modulation } from "../records.ts";
import type { Baseband } from "../signal/baseband.ts";
import { leastSquares } from "./leastSquares.ts";

/** A row of symbols in a baseband. */
export interface SentRow {
  readonly modulation: Modulation;
  /** Element at which the first one starts; may lie between elements. */
  readonly at: number;
  /** Elements a symbol. */
  readonly period: number;
  /** One each, 0 or 1. */
  readonly symbols: Uint8Array;
  /** About where it was sent, from the baseband's zero; good to half a symbol rate. */
  readonly carrierHz: number;
  /** FSK only, to a few hundred hertz. */
  readonly deviationHz: number | undefined;
}

/** How a carrier ran, each with one standard deviation. */
export interface CarrierFit {
  /** In the middle of the row, from the baseband's zero. */
  readonly carrierHz: number;
  readonly carrierSigmaHz: number;
  readonly driftHzPerSecond: number;
  readonly driftSigmaHzPerSecond: number;
  readonly deviationHz: number | undefined;
  readonly deviationSigmaHz: number | undefined;
}

const ROUNDS = 3;
/** Radians about the fit: with more, the phase does not hold from symbol to symbol. */
const MOST_SCATTER = 0.7;
const FEWEST_SYMBOLS = 12;

/**
 * Carrier, drift and deviation from the phase of the symbols, what they say taken off: a parabola in time, and for FSK a
 * share of the symbols' running sum, by least squares.
 *
 * @returns `undefined` where the phase does not hold, as with a sender that begins every pulse anew.
 */
export function carrierFit(base: Baseband, row: SentRow): CarrierFit | undefined {
  const used = usedSymbols(row, base.re.length);
  if (used.length < FEWEST_SYMBOLS) return undefined;
  const middle = (used[0]! + used.at(-1)! + 1) / 2;
  const sums = runningSums(row.symbols);
  const secondsASymbol = row.period / base.rateHz;
  const withDeviation = row.deviationHz !== undefined;
  let carrierHz = row.carrierHz;
  let drift = 0;
  let deviationHz = row.deviationHz ?? 0;
  let sigmas: readonly number[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const phasors = used.map((j) => phasorOf(base, row, j, sums, middle, { carrierHz, drift, deviationHz }));
    const phases = unwrapped(phasors);
    const terms = used.map((j) => {
      const seconds = (j + 0.5 - middle) * secondsASymbol;
      const sum = (sums[j]! + (2 * row.symbols[j]! - 1) / 2) * secondsASymbol;
      const parabola = [1, 2 * Math.PI * seconds, Math.PI * seconds * seconds];
      return withDeviation ? [...parabola, 2 * Math.PI * sum] : parabola;
    });
    const fit = leastSquares(
      terms,
      phases,
      phasors.map(({ re, im }) => re * re + im * im),
    );
    if (!fit || fit.scatter > MOST_SCATTER) return undefined;
    carrierHz += fit.values[1]!;
    drift += fit.values[2]!;
    deviationHz += fit.values[3] ?? 0;
    sigmas = fit.sigmas;
  }
  return {
    carrierHz,
    carrierSigmaHz: sigmas[1]!,
    driftHzPerSecond: drift,
    driftSigmaHzPerSecond: sigmas[2]!,
    deviationHz: withDeviation ? deviationHz : undefined,
    deviationSigmaHz: sigmas[3],
  };
}

/** Those that carry a carrier and lie in the data. */
function usedSymbols({ modulation, at, period, symbols }: SentRow, length: number): number[] {
  const used: number[] = [];
  for (let j = 0; j < symbols.length; j++) {
    const inside = at + j * period >= 0 && at + (j + 1) * period <= length;
    if (inside && (modulation === "fsk" || symbols[j] === 1)) used.push(j);
  }
  return used;
}

/** Ones minus zeros before each symbol. */
function runningSums(symbols: Uint8Array): Int32Array {
  const sums = new Int32Array(symbols.length + 1);
  for (let j = 0; j < symbols.length; j++) sums[j + 1] = sums[j]! + 2 * symbols[j]! - 1;
  return sums;
}

interface Phasor {
  readonly re: number;
  readonly im: number;
}

/** A symbol's samples added up, turned back by what is known of carrier and keying. */
function phasorOf(
  { re, im, rateHz }: Baseband,
  { at, period, symbols }: SentRow,
  j: number,
  sums: Int32Array,
  middle: number,
  { carrierHz, drift, deviationHz }: { carrierHz: number; drift: number; deviationHz: number },
): Phasor {
  const side = 2 * symbols[j]! - 1;
  const first = Math.max(0, Math.ceil(at + j * period - 0.5));
  const end = Math.min(re.length, Math.ceil(at + (j + 1) * period - 0.5));
  let sumRe = 0;
  let sumIm = 0;
  for (let i = first; i < end; i++) {
    // An element stands for the time about its middle.
    const symbol = (i + 0.5 - at) / period;
    const seconds = ((symbol - middle) * period) / rateHz;
    const sent = ((sums[j]! + (symbol - j) * side) * period) / rateHz;
    const turn = -2 * Math.PI * (carrierHz * seconds + 0.5 * drift * seconds * seconds + deviationHz * sent);
    const c = Math.cos(turn);
    const s = Math.sin(turn);
    sumRe += re[i]! * c - im[i]! * s;
    sumIm += re[i]! * s + im[i]! * c;
  }
  return { re: sumRe, im: sumIm };
}

/** Phases in radians, each within half a turn of the one before. */
function unwrapped(phasors: readonly Phasor[]): number[] {
  let before = 0;
  return phasors.map(({ re, im }) => {
    const phase = Math.atan2(im, re);
    before = phase + 2 * Math.PI * Math.round((before - phase) / (2 * Math.PI));
    return before;
  });
}
