import fCdf from "@stdlib/stats-base-dists-f-cdf";
import { mean, median } from "simple-statistics";
import { refuseValues } from "./inputs.ts";
import { variance } from "./variance.ts";

/** Two spreads compared. */
export interface SpreadTest {
  readonly f: number;
  /** Degrees of freedom above and below the line of `f`. */
  readonly freedom: readonly [number, number];
  /** For `varianceRatio` two-sided. */
  readonly p: number;
}

/**
 * Whether two spreads differ, after Brown and Forsythe: by distances from the medians, so it bears odd values and skew.
 *
 * @param a, b From two values each.
 * @returns `f` Infinity where the distances of either sample are all alike and the two differ; 0 where the two do not.
 * @throws RangeError for fewer values, or one that is no number.
 * @source M. B. Brown, A. B. Forsythe, J. Amer. Statist. Assoc. 69, 1974; NIST/SEMATECH e-Handbook of Statistical
 *   Methods, 1.3.5.10 (from memory).
 */
export function brownForsythe(a: readonly number[], b: readonly number[]): SpreadTest {
  refuseValues(a, 2);
  refuseValues(b, 2);
  const distances = [a, b].map((values) => values.map((value) => Math.abs(value - median([...values]))));
  const middles = distances.map((group) => mean(group));
  const all = mean(distances.flat());
  const between = distances.reduce((sum, group, i) => sum + group.length * (middles[i]! - all) ** 2, 0);
  const within = distances.reduce(
    (sum, group, i) => sum + group.reduce((s, one) => s + (one - middles[i]!) ** 2, 0),
    0,
  );
  const freedom = [1, a.length + b.length - 2] as const;
  // Distances that are alike but for rounding must not look different without any spread.
  const rounding = 1e-14 * Math.max(...[...a, ...b].map(Math.abs));
  const f = Math.sqrt(between) <= rounding ? 0 : (between * freedom[1]) / within;
  return { f, freedom, p: above(f, freedom) };
}

/**
 * Whether two variances differ, the values being normal: it is misled by odd values and skew.
 *
 * @param a, b From two values each, those of `b` not all alike.
 * @throws RangeError for fewer values, one that is no number, or `b` without a spread.
 * @source R. A. Fisher; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.9 (from memory).
 */
export function varianceRatio(a: readonly number[], b: readonly number[]): SpreadTest {
  refuseValues(a, 2);
  refuseValues(b, 2);
  const below = variance(b);
  if (below === 0) throw new RangeError(`a ratio needs a spread below the line, got values all ${b[0]}`);
  const f = variance(a) / below;
  const freedom = [a.length - 1, b.length - 1] as const;
  return { f, freedom, p: Math.min(1, 2 * Math.min(above(f, freedom), fCdf(f, ...freedom))) };
}

/** The chance of an `f` as large, from the small end of 1/f, where a distribution near 1 would lose it. */
function above(f: number, [over, under]: readonly [number, number]): number {
  if (f === 0) return 1;
  return f === Infinity ? 0 : fCdf(1 / f, under, over);
}
