import chiSquareCdf from "@stdlib/stats-base-dists-chisquare-cdf";
import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { mean } from "simple-statistics";
import { refuseShare, refuseValues } from "./inputs.ts";
import { noncentralStudentBelow } from "./noncentralStudent.ts";
import { root } from "./root.ts";
import { variance } from "./variance.ts";

/** Where a share of all items of a kind lies, going by a sample of them. */
export interface ToleranceInterval {
  readonly from: number;
  readonly to: number;
  /** How many standard deviations on either side of the mean. */
  readonly factor: number;
  readonly mean: number;
  readonly sd: number;
}

/**
 * The factor k of a tolerance interval of normal values: mean and standard deviation of a sample, and k of these.
 *
 * @param n Values in the sample, from 2.
 * @param share Of all items that the interval shall hold, between 0 and 1.
 * @param confidence That it does, between 0 and 1.
 * @param sides 2 for mean - k s to mean + k s; 1 for one border alone, above or below.
 * @returns Exact, to seven digits and more; for more than 1001 values of two sides to six.
 * @throws RangeError for anything else.
 * @source Two-sided: the integral that ISO 16269-6 is built on, as the manual of the R package tolerance has it.
 *   One-sided: the noncentral t distribution, as in NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3.
 */
export function toleranceFactor(n: number, share: number, confidence: number, sides: 1 | 2): number {
  if (!(Number.isInteger(n) && n >= 2)) throw new RangeError(`a sample must be two values or more, got ${n}`);
  refuseShare("a share", share);
  refuseShare("a confidence", confidence);
  if (sides !== 1 && sides !== 2) throw new RangeError(`sides must be 1 or 2, got ${sides}`);
  const tooSure = sides === 1 ? oneSided(n, share) : twoSided(n, share);
  let reach = 1;
  while (tooSure(reach) < confidence) reach *= 2;
  let lowest = sides === 1 ? -1 : 0;
  while (lowest < 0 && tooSure(lowest) > confidence) lowest *= 2;
  return root((factor) => tooSure(factor) - confidence, lowest, reach);
}

/**
 * The two-sided tolerance interval of values that look normal.
 *
 * @throws RangeError for fewer than two values, one that is no number, or shares not between 0 and 1.
 */
export function toleranceInterval(values: readonly number[], share: number, confidence: number): ToleranceInterval {
  refuseValues(values, 2);
  const factor = toleranceFactor(values.length, share, confidence, 2);
  const middle = mean([...values]);
  const sd = Math.sqrt(variance(values));
  return { from: middle - factor * sd, to: middle + factor * sd, factor, mean: middle, sd };
}

/**
 * How many items must be tested without a failure to say that at least `share` of all conform.
 *
 * @throws RangeError for a share or confidence not between 0 and 1.
 * @source n = ln(1 - confidence) / ln(share), rounded up; from memory.
 */
export function zeroFailureSize(share: number, confidence: number): number {
  refuseShare("a share", share);
  refuseShare("a confidence", confidence);
  // A quotient that is whole may come out a little above itself.
  return Math.ceil(Math.log1p(-confidence) / Math.log(share) - 1e-9);
}

/** @returns The confidence that a factor gives. */
function oneSided(n: number, share: number): (factor: number) => number {
  const shift = Math.sqrt(n) * normalQuantile(share, 0, 1);
  return (factor) => noncentralStudentBelow(factor * Math.sqrt(n), n - 1, shift);
}

/** @returns The confidence that a factor gives. */
function twoSided(n: number, share: number): (factor: number) => number {
  // Over where the sample's mean lies, in its own standard deviations. The sum is as good as the integral, since what
  // is summed is smooth and falls off on both sides.
  const step = 1 / 8;
  const nodes = Array.from({ length: 9 / step }, (_, i) => {
    const z = i * step;
    const weight = (i === 0 ? 1 : 2) * step * Math.exp((-z * z) / 2);
    return { reach: reachOf(z / Math.sqrt(n), share), weight: weight / Math.sqrt(2 * Math.PI) };
  });
  const freedom = n - 1;
  return (factor) =>
    nodes.reduce(
      (sum, { reach, weight }) => sum + weight * chiSquareAbove(freedom * (reach / factor) ** 2, freedom),
      0,
    );
}

/** How far an interval about `centre` must reach to either side to hold `share` of a standard normal distribution. */
function reachOf(centre: number, share: number): number {
  const held = (reach: number) => normalCdf(centre + reach, 0, 1) - normalCdf(centre - reach, 0, 1);
  return root((reach) => held(reach) - share, 0, centre + 10);
}

/** @source Above 1000 degrees of freedom E. B. Wilson, M. M. Hilferty, 1931: right to six digits there. */
function chiSquareAbove(x: number, freedom: number): number {
  if (freedom <= 1000) return 1 - chiSquareCdf(x, freedom);
  // The package is wrong by up to a hundredth from about 2000 degrees of freedom (its version 0.3.1).
  const spread = 2 / (9 * freedom);
  return normalCdf((1 - spread - Math.cbrt(x / freedom)) / Math.sqrt(spread), 0, 1);
}
