import { medianSorted } from "simple-statistics";
import { refuseShare, refuseValues } from "./inputs.ts";
import { LARGEST_COUNTED } from "./mannWhitney.ts";
import { rankSumChances } from "./rankSumChances.ts";
import { studentAt, studentBelow } from "./student.ts";

/** By how much one sample lies above another. */
export interface Shift {
  /** Median of all differences, a value of `a` less one of `b`. */
  readonly difference: number;
  readonly from: number;
  readonly to: number;
  /** That of the interval: the least that is not below what was asked, or what all differences together give. */
  readonly confidence: number;
}

/**
 * The shift between two samples of one shape, and its interval by the rank sum test.
 *
 * Exact up to 40 values each, by the normal distribution above; with ties it holds at least about as much as it says.
 *
 * @param a, b From one value each.
 * @param confidence Wanted, between 0 and 1.
 * @throws RangeError for no values, one that is no number, or another confidence.
 * @source J. L. Hodges, E. L. Lehmann, Ann. Math. Statist. 34, 1963.
 */
export function hodgesLehmann(a: readonly number[], b: readonly number[], confidence = 0.95): Shift {
  refuseValues(a, 1);
  refuseValues(b, 1);
  refuseShare("a confidence", confidence);
  const differences = Float64Array.from(a.flatMap((one) => b.map((other) => one - other))).sort();
  const { left, outside } = leftOut(a.length, b.length, (1 - confidence) / 2);
  return {
    difference: medianSorted([...differences]),
    from: differences[left]!,
    to: differences.at(-1 - left)!,
    confidence: 1 - 2 * outside,
  };
}

/** How many differences can be left out on either side, and the chance that the shift lies beyond them there. */
function leftOut(m: number, n: number, tail: number): { left: number; outside: number } {
  if (m > LARGEST_COUNTED || n > LARGEST_COUNTED) {
    const spread = Math.sqrt((m * n * (m + n + 1)) / 12);
    const left = Math.max(0, Math.floor((m * n - 1) / 2 + studentAt(tail, Infinity) * spread));
    return { left, outside: studentBelow((left + 0.5 - (m * n) / 2) / spread, Infinity) };
  }
  const chances = rankSumChances(m, n);
  let left = 0;
  let outside = chances[0]!;
  while (outside + chances[left + 1]! <= tail) {
    left++;
    outside += chances[left]!;
  }
  return { left, outside };
}
