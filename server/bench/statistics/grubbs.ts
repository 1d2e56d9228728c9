import { max, mean } from "simple-statistics";
import { refuseShare, refuseValues } from "./inputs.ts";
import { studentAt, studentBelow } from "./student.ts";
import { variance } from "./variance.ts";

/** The value farthest from the mean, and whether it is too far. */
export interface OddOne {
  /** Which of the values. */
  readonly index: number;
  /** G, its distance from the mean in standard deviations. */
  readonly statistic: number;
  /** What G must exceed. */
  readonly critical: number;
  /** The chance of a G as large among normal values: exact for few values, else a little too high (then 1 at most). */
  readonly p: number;
  readonly isOdd: boolean;
}

/**
 * Grubbs' test for one value that does not belong to the others, which must look normal.
 *
 * @param sides 2 where a value too high and one too low would both be looked at; 1 where only one of them would,
 *   settled before the values were seen.
 * @returns `undefined` for fewer than three values or values all alike: there is nothing to judge by.
 * @throws RangeError for a value that is no number, an `alpha` not between 0 and 1, other `sides`.
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1 (formula from memory, confirmed by its numbers).
 */
export function grubbs(values: readonly number[], alpha = 0.05, sides: 1 | 2 = 2): OddOne | undefined {
  refuseValues(values, 0);
  refuseShare("alpha", alpha);
  const count = values.length;
  const sd = count < 3 ? 0 : Math.sqrt(variance(values));
  if (sd === 0) return undefined;
  const critical = grubbsCritical(count, alpha, sides);
  const middle = mean([...values]);
  const distances = values.map((value) => Math.abs(value - middle));
  const index = distances.indexOf(max(distances));
  const statistic = distances[index]! / sd;
  const rest = (count - 1) ** 2 - count * statistic ** 2;
  const t = rest > 0 ? Math.sqrt((count * (count - 2) * statistic ** 2) / rest) : Infinity;
  const p = t === Infinity ? 0 : Math.min(1, sides * count * studentBelow(-t, count - 2));
  return { index, statistic, critical, p, isOdd: statistic > critical };
}

/**
 * What G must exceed for one value in `count` to be odd.
 *
 * @param count From 3.
 * @throws RangeError for other `sides`.
 */
export function grubbsCritical(count: number, alpha: number, sides: 1 | 2): number {
  if (sides !== 1 && sides !== 2) throw new RangeError(`sides must be 1 or 2, got ${sides}`);
  const t2 = studentAt(alpha / (sides * count), count - 2) ** 2;
  return ((count - 1) / Math.sqrt(count)) * Math.sqrt(t2 / (count - 2 + t2));
}
