import type { BandSignal } from "./bandLimited.ts";
import type { Edge } from "./edges.ts";
import { meanBetween } from "./smoothing.ts";

/** What a sample rate lets a step look like: one sample's own width, smoothed over by the curve below. */
export const LEAST_RISE_SAMPLES = 1.1;

/** Samples between two points of the curve, and over how many to both sides each is a mean. */
const FINENESS = 0.1;
const KERNEL_SAMPLES = 0.5;
/** Noise that is left in the curve, as a share of the step: with more, it reaches 10 % too often by itself. */
const MOST_NOISE = 0.03;
/** Of a symbol, on each side. */
const SIDE_SHARE = 0.5;

/**
 * How long a step takes from 10 % to 90 % of the amplitude's way, in samples: all edges of one direction laid over one
 * another at the places where they go through half, so that the samples of many lie between those of one.
 *
 * @param signal The whole band, or steps would look as slow as the band.
 * @param edges Level edges of one direction.
 * @returns `undefined` where there are too few for the noise.
 */
export function stepSamples(
  signal: BandSignal,
  edges: readonly Edge[],
  symbol: number,
  noise: number,
): number | undefined {
  const side = Math.max(2, SIDE_SHARE * symbol);
  const points = Math.floor(side / FINENESS);
  const sums = new Float64Array(2 * points + 1);
  const weights = new Float64Array(2 * points + 1);
  let steps = 0;
  for (const edge of edges) {
    const step = addStep(signal, edge, side, sums, weights);
    if (step > 0) steps += step / edges.length;
  }
  if (edges.length === 0 || !(steps > 0)) return undefined;
  // A triangle of weights takes in about as many samples as two thirds of its base holds.
  const samples = Math.max(1, (4 / 3) * KERNEL_SAMPLES * edges.length);
  if (noise / Math.SQRT2 / steps / Math.sqrt(samples) > MOST_NOISE) return undefined;
  const curve = sums.map((sum, k) => sum / Math.max(1e-12, weights[k]!));
  const rises = curve[2 * points]! > curve[0]!;
  const upwards = rises ? curve : curve.toReversed();
  const low = lastBelow(upwards, points, 0.1);
  const high = firstAbove(upwards, points, 0.9);
  return low === undefined || high === undefined ? undefined : (high - low) * FINENESS;
}

/** Adds one edge's samples, 0 being its lower and 1 its upper level. Returns the step's size. */
function addStep(
  { re, im }: BandSignal,
  { at, levelBefore, levelAfter }: Edge,
  side: number,
  sums: Float64Array,
  weights: Float64Array,
): number {
  const rises = levelAfter > levelBefore;
  const first = Math.max(0, Math.ceil(at - 1.5 * side));
  const last = Math.min(re.length - 1, Math.floor(at + 1.5 * side));
  const along = alongCarrier(re, im, first, last, rises ? at + 1 : at - 1 - side, rises ? at + 1 + side : at - 1);
  // The outer half of each side: a slow step takes up the inner one.
  const before = meanBetween(along, at - side - first, at - side / 2 - first);
  const after = meanBetween(along, at + side / 2 - first, at + side - first);
  const off = rises ? before : after;
  const step = rises ? after - before : before - after;
  if (!(step > 0)) return 0;
  const points = (sums.length - 1) / 2;
  const reach = KERNEL_SAMPLES / FINENESS;
  for (let i = 0; i < along.length; i++) {
    const place = (first + i - at) / FINENESS + points;
    const from = Math.max(0, Math.ceil(place - reach));
    const to = Math.min(sums.length - 1, Math.floor(place + reach));
    for (let k = from; k <= to; k++) {
      const weight = 1 - Math.abs(k - place) / reach;
      sums[k] = sums[k]! + (weight * (along[i]! - off)) / step;
      weights[k] = weights[k]! + weight;
    }
  }
  return step;
}

/** The samples as they lie along the carrier of a stretch, where it keeps one frequency. */
function alongCarrier(
  re: Float64Array,
  im: Float64Array,
  first: number,
  last: number,
  from: number,
  to: number,
): Float64Array {
  const start = Math.max(1, Math.ceil(from));
  const end = Math.min(re.length - 1, Math.floor(to));
  let turnRe = 0;
  let turnIm = 0;
  for (let i = start + 1; i <= end; i++) {
    turnRe += re[i]! * re[i - 1]! + im[i]! * im[i - 1]!;
    turnIm += im[i]! * re[i - 1]! - re[i]! * im[i - 1]!;
  }
  const turn = Math.atan2(turnIm, turnRe);
  const middle = (start + end) / 2;
  const still = (i: number) => {
    const c = Math.cos(turn * (i - middle));
    const s = -Math.sin(turn * (i - middle));
    return [re[i]! * c - im[i]! * s, re[i]! * s + im[i]! * c] as const;
  };
  let onRe = 0;
  let onIm = 0;
  for (let i = start; i <= end; i++) {
    const [a, b] = still(i);
    onRe += a;
    onIm += b;
  }
  const size = Math.max(1e-12, Math.sqrt(onRe * onRe + onIm * onIm));
  return Float64Array.from({ length: Math.max(0, last - first + 1) }, (_, k) => {
    const [a, b] = still(first + k);
    return (a * onRe + b * onIm) / size;
  });
}

function lastBelow(curve: Float64Array, middle: number, share: number): number | undefined {
  for (let k = middle; k > 0; k--) {
    const a = curve[k - 1]!;
    const b = curve[k]!;
    if (a < share && b >= share) return k - 1 + (share - a) / (b - a);
  }
  return undefined;
}

function firstAbove(curve: Float64Array, middle: number, share: number): number | undefined {
  for (let k = middle + 1; k < curve.length; k++) {
    const a = curve[k - 1]!;
    const b = curve[k]!;
    if (a < share && b >= share) return k - 1 + (share - a) / (b - a);
  }
  return undefined;
}
