import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import studentCdf from "@stdlib/stats-base-dists-t-cdf";
import studentQuantile from "@stdlib/stats-base-dists-t-quantile";

/**
 * The probability that Student's t is at most `t`.
 *
 * @param freedom Degrees of freedom, above 0, not only whole ones; Infinity for the normal distribution.
 */
export function studentBelow(t: number, freedom: number): number {
  return freedom > AS_NORMAL ? normalCdf(t, 0, 1) : studentCdf(t, freedom);
}

/**
 * The t below which Student's t lies with a probability.
 *
 * @param freedom Degrees of freedom, above 0, not only whole ones; Infinity for the normal distribution.
 */
export function studentAt(probability: number, freedom: number): number {
  return freedom > AS_NORMAL ? normalQuantile(probability, 0, 1) : studentQuantile(probability, freedom);
}

/** Beyond so many degrees of freedom the two are one; from 1e18 on the package's quantile is 0. */
const AS_NORMAL = 1e9;
