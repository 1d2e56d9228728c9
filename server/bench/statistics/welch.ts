import { mean } from "simple-statistics";
import { refuseShare, refuseValues } from "./inputs.ts";
import { studentAt, studentBelow } from "./student.ts";
import { variance } from "./variance.ts";

/** Two means compared. */
export interface WelchTest {
  readonly t: number;
  /** Degrees of freedom, not only whole ones. */
  readonly freedom: number;
  /** Two-sided. */
  readonly p: number;
  /** Mean of `a` less mean of `b`. */
  readonly difference: number;
  /** Its interval. */
  readonly from: number;
  readonly to: number;
}

/** What is known of one sample. */
export interface SampleSummary {
  readonly count: number;
  readonly mean: number;
  readonly variance: number;
}

/**
 * Whether two means differ, the spreads being whatever they are.
 *
 * @param a, b From two values each, not all alike in both.
 * @param confidence Of the interval, between 0 and 1.
 * @throws RangeError for fewer values or no spread at all, one that is no number, or another confidence.
 * @source B. L. Welch, Biometrika 34, 1947; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3.
 */
export function welch(a: readonly number[], b: readonly number[], confidence = 0.95): WelchTest {
  return welchOf(summaryOf(a), summaryOf(b), confidence);
}

/**
 * The same from counts, means and variances.
 *
 * @throws RangeError for no spread at all, or a confidence not between 0 and 1.
 */
export function welchOf(a: SampleSummary, b: SampleSummary, confidence = 0.95): WelchTest {
  refuseShare("a confidence", confidence);
  const ofA = a.variance / a.count;
  const ofB = b.variance / b.count;
  const whole = ofA + ofB;
  if (!(whole > 0))
    throw new RangeError(`values all alike cannot be compared by their spread, got ${a.mean} and ${b.mean}`);
  // Shares of the whole, since squares of very small variances would be nothing.
  const freedom = 1 / ((ofA / whole) ** 2 / (a.count - 1) + (ofB / whole) ** 2 / (b.count - 1));
  const difference = a.mean - b.mean;
  const standard = Math.sqrt(whole);
  const t = difference / standard;
  const reach = studentAt((1 + confidence) / 2, freedom) * standard;
  const p = 2 * studentBelow(-Math.abs(t), freedom);
  return { t, freedom, p, difference, from: difference - reach, to: difference + reach };
}

function summaryOf(values: readonly number[]): SampleSummary {
  refuseValues(values, 2);
  return { count: values.length, mean: mean([...values]), variance: variance(values) };
}
