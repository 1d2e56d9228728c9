import type { Ffts } from "./fft.ts";

/** The symbols of a two-level waveform, cut without any layout. */
export interface SymbolMeasure {
  readonly rateHz: number;
  /** One standard deviation. */
  readonly rateSigmaHz: number;
  /** How far the edges lie from a steady clock, as a share of a symbol (root mean square). */
  readonly jitter: number;
  readonly edges: number;
  /** Element of the waveform at which the first symbol starts; may lie between elements. */
  readonly start: number;
  /** One symbol each, 0 or 1. */
  readonly symbols: Uint8Array;
}

const FEWEST_EDGES = 6;
const LEAST_BAND_HZ = 2000;
const MOST_SYMBOLS = 65_536;

/**
 * Finds the clock that the edges of a waveform keep, and the symbols between them.
 *
 * @param wave Around −1 and +1.
 * @param bandHz The band that the keying fills, from which follows how far edges may be blurred at first.
 * @param fastestHz No more symbols a second are looked for.
 * @returns `undefined` where there are too few edges for a clock.
 */
export function measureSymbols(
  wave: Float64Array,
  rateHz: number,
  bandHz: number,
  fastestHz: number,
  ffts: Ffts,
): SymbolMeasure | undefined {
  const first = averaged(wave, Math.max(1, Math.round(rateHz / Math.max(LEAST_BAND_HZ, bandHz) / 2)));
  const roughEdges = edgesOf(first);
  if (roughEdges.length < FEWEST_EDGES) return undefined;
  const rough = clockByFolding(roughEdges, wave.length, rateHz, Math.max(LEAST_BAND_HZ, fastestHz), ffts);
  if (rough === undefined) return undefined;
  // Now that the symbol's length is known, average over half of it: less noise, fewer false edges.
  const smooth = averaged(wave, Math.max(1, Math.round(rateHz / rough / 2)));
  const edges = edgesOf(smooth);
  if (edges.length < FEWEST_EDGES) return undefined;
  const clock = fitClock(edges, rateHz / rough);
  return cut(smooth, edges.length, clock, rateHz);
}

/** Mean over `width` elements, centred. */
function averaged(wave: Float64Array, width: number): Float64Array {
  const out = new Float64Array(wave.length);
  const before = (width - 1) >> 1;
  let sum = 0;
  let from = 0;
  let to = 0;
  for (let i = 0; i < wave.length; i++) {
    const end = Math.min(wave.length, i - before + width);
    while (to < end) sum += wave[to++]!;
    while (from < i - before) sum -= wave[from++]!;
    out[i] = sum / (to - from);
  }
  return out;
}

/** Where the waveform changes sides, between elements; it must get past a quarter of the way to count. */
function edgesOf(wave: Float64Array): number[] {
  const edges: number[] = [];
  let side = 0;
  let crossing = 0;
  for (let i = 0; i < wave.length; i++) {
    const v = wave[i]!;
    const before = i > 0 ? wave[i - 1]! : v;
    if (before < 0 !== v < 0) crossing = i - 1 + before / (before - v);
    const here = v > 0.25 ? 1 : v < -0.25 ? -1 : 0;
    if (here === 0 || here === side) continue;
    if (side !== 0) edges.push(crossing);
    side = here;
  }
  return edges;
}

/** Lowest rate up to `fastestHz` at which the edges, folded, fall together nearly as well as at any. */
function clockByFolding(
  edges: readonly number[],
  length: number,
  rateHz: number,
  fastestHz: number,
  ffts: Ffts,
): number | undefined {
  const thin = Math.max(1, Math.floor(rateHz / Math.min(250_000, GRID_RATES * fastestHz)));
  const gridHz = rateHz / thin;
  // Four bins to each line. The edges are real: those of the even places go in as the real part, of the odd ones as the
  // imaginary part of a transform half as long.
  const size = Math.min(2 ** 18, 2 ** Math.ceil(Math.log2((4 * length) / thin)));
  const half = size / 2;
  const re = new Float64Array(half);
  const im = new Float64Array(half);
  for (const edge of edges) {
    const at = edge / thin;
    const i = Math.floor(at);
    if (i + 1 >= size) break;
    const [here, there] = i % 2 === 0 ? [re, im] : [im, re];
    here[i >> 1] = here[i >> 1]! + 1 - (at - i);
    there[(i + 1) >> 1] = there[(i + 1) >> 1]! + (at - i);
  }
  ffts(half).forward(re, im);
  const binHz = gridHz / size;
  const first = Math.ceil(Math.max(400, (4 * rateHz) / length) / binHz);
  const last = Math.floor(Math.min(gridHz * 0.45, fastestHz) / binHz);
  if (last <= first + 2) return undefined;
  const fold = foldedSizes(re, im, first - 1, last + 1, edges.length);
  let most = 0;
  for (let k = first; k <= last; k++) if (fold[k]! > most) most = fold[k]!;
  // Edges at random: P(fold > r) = exp(−K·r²) for one rate.
  if (most < Math.sqrt(Math.log(1e4) / edges.length)) return undefined;
  for (let k = first; k <= last; k++) {
    if (fold[k]! < 0.8 * most || fold[k]! < fold[k - 1]! || fold[k]! < fold[k + 1]!) continue;
    // Long pulses stand beside lines of their own, a little lower on either side of the clock's.
    let top = k;
    for (let j = k + 1; j < last && j < BESIDE * k; j++) if (fold[j]! > fold[top]!) top = j;
    const bend = fold[top - 1]! - 2 * fold[top]! + fold[top + 1]!;
    const shift = bend < 0 ? (0.5 * (fold[top - 1]! - fold[top + 1]!)) / bend : 0;
    return (top + shift) * binHz;
  }
  return undefined;
}

/** Places of the grid to a symbol of the fastest rate. */
const GRID_RATES = 2.5;
const BESIDE = 1.02;

/**
 * Sizes of lines `from` to `to`, as shares of all edges, by the line: the spectrum of real values of which the even ones
 * went in as the real part and the odd ones as the imaginary part. `to` is less than the transform's length.
 */
function foldedSizes(re: Float64Array, im: Float64Array, from: number, to: number, edges: number): Float64Array {
  const half = re.length;
  const fold = new Float64Array(to + 1);
  const turn = Math.PI / half;
  let c = 1;
  let s = 0;
  for (let k = from; k <= to; k++) {
    if (k === from || (k & 255) === 0) {
      c = Math.cos(turn * k);
      s = Math.sin(turn * k);
    }
    const m = (half - k) & (half - 1);
    const evenRe = (re[k]! + re[m]!) / 2;
    const evenIm = (im[k]! - im[m]!) / 2;
    const oddRe = (im[k]! + im[m]!) / 2;
    const oddIm = (re[m]! - re[k]!) / 2;
    const sumRe = evenRe + oddRe * c + oddIm * s;
    const sumIm = evenIm + oddIm * c - oddRe * s;
    // An edge split over two grid points is a triangle: sin²(x)/x² with x half the angle of this line.
    const x = (turn * k) / 2;
    const spread = k === 0 ? 1 : (1 - c) / (2 * x * x);
    fold[k] = Math.sqrt(sumRe * sumRe + sumIm * sumIm) / edges / spread;
    const next = c * Math.cos(turn) - s * Math.sin(turn);
    s = c * Math.sin(turn) + s * Math.cos(turn);
    c = next;
  }
  return fold;
}

interface Clock {
  readonly period: number;
  readonly phase: number;
  readonly periodSigma: number;
  readonly jitter: number;
}

/** Least squares of edge times on whole numbers of periods. */
function fitClock(edges: readonly number[], rough: number): Clock {
  let period = rough;
  let phase = edges[0]!;
  let periodSigma = 0;
  // Until a line fits, the edges keep no clock at all.
  let rms = rough;
  const ticks = new Float64Array(edges.length);
  for (let round = 0; round < 4; round++) {
    if (round === 0) {
      // From edge to edge first: a small error of the rough period must not add up.
      for (let k = 1; k < edges.length; k++)
        ticks[k] = ticks[k - 1]! + Math.round((edges[k]! - edges[k - 1]!) / period);
    } else for (let k = 0; k < edges.length; k++) ticks[k] = Math.round((edges[k]! - phase) / period);
    let meanTick = 0;
    let meanEdge = 0;
    for (let k = 0; k < edges.length; k++) {
      meanTick += ticks[k]! / edges.length;
      meanEdge += edges[k]! / edges.length;
    }
    let across = 0;
    let spread = 0;
    for (let k = 0; k < edges.length; k++) {
      across += (ticks[k]! - meanTick) * (edges[k]! - meanEdge);
      spread += (ticks[k]! - meanTick) ** 2;
    }
    if (spread === 0) break;
    const fitted = across / spread;
    if (!(Math.abs(fitted / rough - 1) < 0.1)) break;
    period = fitted;
    phase = meanEdge - period * meanTick;
    let square = 0;
    for (let k = 0; k < edges.length; k++) square += (edges[k]! - phase - period * ticks[k]!) ** 2;
    rms = Math.sqrt(square / Math.max(1, edges.length - 2));
    periodSigma = rms / Math.sqrt(spread);
  }
  return { period, phase, periodSigma, jitter: rms / period };
}

function cut(wave: Float64Array, edges: number, clock: Clock, rateHz: number): SymbolMeasure {
  const { period, phase } = clock;
  // The first boundary that leaves at least half a symbol; the rest of the waveform in whole symbols.
  const firstTick = Math.ceil((-0.5 * period - phase) / period);
  const start = phase + firstTick * period;
  const count = Math.min(MOST_SYMBOLS, Math.max(0, Math.floor((wave.length - start) / period + 0.5)));
  const symbols = new Uint8Array(count);
  for (let n = 0; n < count; n++) {
    const middle = Math.min(wave.length - 1, Math.max(0, Math.round(start + (n + 0.5) * period - 0.5)));
    symbols[n] = wave[middle]! > 0 ? 1 : 0;
  }
  return {
    rateHz: rateHz / period,
    rateSigmaHz: (rateHz / period) * (clock.periodSigma / period),
    jitter: clock.jitter,
    edges,
    start,
    symbols,
  };
}
