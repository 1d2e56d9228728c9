import { logBessel0 } from "./symbolEvidence.ts";

/** Sums of a baseband turned back by one frequency, so that the energy of any stretch at it takes two look-ups. */
export interface RunningSum {
  /** One more than the baseband has elements: element i is what lies before element i. */
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** @param cycles Of the frequency, an element. */
export function runningSum(re: Float64Array, im: Float64Array, cycles: number): RunningSum {
  const sumRe = new Float64Array(re.length + 1);
  const sumIm = new Float64Array(re.length + 1);
  const stepRe = Math.cos(2 * Math.PI * cycles);
  const stepIm = -Math.sin(2 * Math.PI * cycles);
  let c = 1;
  let s = 0;
  for (let i = 0; i < re.length; i++) {
    sumRe[i + 1] = sumRe[i]! + re[i]! * c - im[i]! * s;
    sumIm[i + 1] = sumIm[i]! + re[i]! * s + im[i]! * c;
    const next = c * stepRe - s * stepIm;
    s = c * stepIm + s * stepRe;
    c = next;
    if ((i & 255) === 255) {
      // Rounding must not let it grow.
      const size = Math.sqrt(c * c + s * s);
      c /= size;
      s /= size;
    }
  }
  return { re: sumRe, im: sumIm };
}

/**
 * The sums with the carrier's own phase taken off, as it is around each element.
 *
 * @param sum At the carrier's frequency, but for what its phase tells.
 * @param from Where the burst is for sure, in elements; and `to`.
 * @param reach Elements to each side that tell the phase.
 */
export function inPhase({ re, im }: RunningSum, from: number, to: number, reach: number): RunningSum {
  const sum = new Float64Array(re.length);
  for (let i = 0; i + 1 < re.length; i++) {
    const middle = Math.max(from + reach, Math.min(to - reach, i));
    const a = Math.max(from, middle - reach);
    const b = Math.min(to, middle + reach);
    const turnRe = re[b]! - re[a]!;
    const turnIm = im[b]! - im[a]!;
    const size = Math.sqrt(turnRe * turnRe + turnIm * turnIm);
    const along = (re[i + 1]! - re[i]!) * turnRe + (im[i + 1]! - im[i]!) * turnIm;
    sum[i + 1] = sum[i]! + (size > 0 ? along / size : 0);
  }
  return { re: sum, im: new Float64Array(re.length) };
}

/** A burst of which all is known but its symbols and their clock. */
export interface Keyed {
  /** At the frequency of a 1. */
  readonly high: RunningSum;
  /** At the frequency of a 0; `undefined` for ASK. */
  readonly low: RunningSum | undefined;
  /** Whether the carrier's phase is taken off: then the sums' real part has all of it. */
  readonly isInPhase: boolean;
  /** Power while something is sent, full scale 1. */
  readonly power: number;
  /** Power of the noise in an element. */
  readonly noise: number;
}

/** Of symbols that lie so, how likely each of them is one, and which. */
export interface Cells {
  /** ln of how much likelier a symbol is than noise alone, 0 and 1 being as likely; one each. */
  readonly worth: Float64Array;
  /** ln(P(1)/P(0)) of each. */
  readonly evidence: Float64Array;
}

/**
 * @param start Where the first one begins, between elements.
 * @param period Elements a symbol.
 * @source J. G. Proakis, Digital Communications, noncoherent detection: with the phase unknown the likelihood of energy E
 *   at signal energy S and noise energy N is I0(2·sqrt(E·S)/N)·exp(−S/N) over noise alone.
 */
export function cellsAt(keyed: Keyed, start: number, period: number, count: number): Cells {
  const worth = new Float64Array(count);
  const evidence = new Float64Array(count);
  for (let n = 0; n < count; n++) {
    const from = start + n * period;
    const high = toneWorth(keyed.high, from, from + period, keyed);
    const low = keyed.low ? toneWorth(keyed.low, from, from + period, keyed) : 0;
    evidence[n] = high - low;
    worth[n] = eitherOf(high, low);
  }
  return { worth, evidence };
}

/** The same for all of them together. */
export function worthAt(keyed: Keyed, start: number, period: number, count: number): number {
  let sum = 0;
  const { high, low } = keyed;
  for (let n = 0; n < count; n++) {
    const from = start + n * period;
    sum += eitherOf(toneWorth(high, from, from + period, keyed), low ? toneWorth(low, from, from + period, keyed) : 0);
  }
  return sum;
}

/** ln of the mean of both likelihoods. */
function eitherOf(a: number, b: number): number {
  const apart = Math.abs(a - b);
  const most = a > b ? a : b;
  if (apart >= MOST_APART) return most - Math.LN2;
  const at = apart * STEPS;
  const i = Math.floor(at);
  return most + MEANS[i]! + (at - i) * (MEANS[i + 1]! - MEANS[i]!);
}

/** ln of how much likelier a carrier between two places is than noise alone; 0 outside of what there is. */
function toneWorth({ re, im }: RunningSum, from: number, to: number, { power, noise, isInPhase }: Keyed): number {
  const last = re.length - 1;
  if (from < 0 || to > last) return 0;
  const a = Math.floor(from);
  const b = Math.floor(to);
  const fa = from - a;
  const fb = to - b;
  const here = Math.min(last, a + 1);
  const there = Math.min(last, b + 1);
  const sumRe = re[b]! + fb * (re[there]! - re[b]!) - re[a]! - fa * (re[here]! - re[a]!);
  if (isInPhase) return (2 * Math.sqrt(power) * sumRe - power * (to - from)) / noise;
  const sumIm = im[b]! + fb * (im[there]! - im[b]!) - im[a]! - fa * (im[here]! - im[a]!);
  const size = Math.sqrt(sumRe * sumRe + sumIm * sumIm);
  return bessel((2 * size * Math.sqrt(power)) / noise) - (power * (to - from)) / noise;
}

const STEPS = 16;
const MOST = 64;
const TABLE = Float64Array.from({ length: MOST * STEPS + 2 }, (_, i) => logBessel0(i / STEPS));

/** ln of the mean of 1 and exp(−x). */
const MOST_APART = 12;
const MEANS = Float64Array.from(
  { length: MOST_APART * STEPS + 2 },
  (_, i) => Math.log1p(Math.exp(-i / STEPS)) - Math.LN2,
);

/** ln I0, out of a table. */
function bessel(x: number): number {
  if (x >= MOST) return x - 0.5 * Math.log(2 * Math.PI * x);
  const at = x * STEPS;
  const i = Math.floor(at);
  return TABLE[i]! + (at - i) * (TABLE[i + 1]! - TABLE[i]!);
}
