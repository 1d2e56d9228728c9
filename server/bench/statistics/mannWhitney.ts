import { refuseValues } from "./inputs.ts";
import { rankSumChances } from "./rankSumChances.ts";
import { studentBelow } from "./student.ts";

/** Two samples compared by their ranks. */
export interface RankSumTest {
  /** Pairs in which the value of `a` is above that of `b`, half of those with both alike. */
  readonly u: number;
  /** The same with `b` above. */
  readonly uOther: number;
  /** Two-sided. */
  readonly p: number;
  /** That `a` tends to be above `b`, and below. */
  readonly pAbove: number;
  readonly pBelow: number;
  /** By counting all orders, or by the normal distribution with corrections for ties and continuity. */
  readonly method: "exact" | "normal";
  /** Values occur more than once. */
  readonly hasTies: boolean;
}

/** Up to here all orders are counted. */
export const LARGEST_COUNTED = 40;

/**
 * Whether values of one sample tend to lie above those of another, whatever their distribution.
 *
 * @param a, b From one value each.
 * @throws RangeError for no values, or one that is no number.
 * @source H. B. Mann, D. R. Whitney, Ann. Math. Statist. 18, 1947; the correction for ties from memory.
 */
export function mannWhitney(a: readonly number[], b: readonly number[]): RankSumTest {
  refuseValues(a, 1);
  refuseValues(b, 1);
  const u = a.reduce((sum, one) => sum + b.reduce((won, other) => won + (Math.sign(one - other) + 1) / 2, 0), 0);
  const uOther = a.length * b.length - u;
  const cubes = tiedCubes([...a, ...b]);
  const hasTies = cubes > 0;
  const isCounted = !hasTies && a.length <= LARGEST_COUNTED && b.length <= LARGEST_COUNTED;
  const tail = isCounted ? countedTail(a.length, b.length) : normalTail(a.length, b.length, cubes);
  const pAbove = tail(u);
  const pBelow = tail(uOther);
  const p = Math.min(1, 2 * Math.min(pAbove, pBelow));
  return { u, uOther, p, pAbove, pBelow, method: isCounted ? "exact" : "normal", hasTies };
}

/** The chance of a count of pairs as large or larger. */
type Tail = (u: number) => number;

function countedTail(m: number, n: number): Tail {
  const chances = rankSumChances(m, n);
  // The distribution is alike from both ends. From the small one, as rounding takes least there.
  return (u) => chances.subarray(0, m * n - u + 1).reduce((sum, chance) => sum + chance, 0);
}

function normalTail(m: number, n: number, cubes: number): Tail {
  const all = m + n;
  const variance = ((m * n) / 12) * (all + 1 - cubes / (all * (all - 1)));
  const middle = (m * n) / 2;
  // With all values alike the variance is 0 and `u` in the middle, which gives 1.
  return (u) => studentBelow(-(u - middle - 0.5) / Math.sqrt(variance), Infinity);
}

/** The sum of t^3 - t over the groups of t values that are alike. */
function tiedCubes(values: readonly number[]): number {
  const groups = new Map<number, number>();
  for (const value of values) groups.set(value, (groups.get(value) ?? 0) + 1);
  return [...groups.values()].reduce((sum, count) => sum + count ** 3 - count, 0);
}
