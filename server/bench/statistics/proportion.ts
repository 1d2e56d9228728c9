import betaQuantile from "@stdlib/stats-base-dists-beta-quantile";
import { refuseShare } from "./inputs.ts";
import { studentAt } from "./student.ts";

/** Where a share lies, 0 to 1. */
export interface ShareInterval {
  readonly from: number;
  readonly to: number;
}

/**
 * The interval of a share by Wilson's score: near the stated confidence on average, short.
 *
 * @param x How many of `n` there were, 0 to n. @param n From 1.
 * @throws RangeError for other counts, or a confidence not between 0 and 1.
 * @source E. B. Wilson, J. Amer. Statist. Assoc. 22, 1927; NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1.
 */
export function wilson(x: number, n: number, confidence: number): ShareInterval {
  refuseCounts(x, n, confidence);
  const z2 = studentAt((1 + confidence) / 2, Infinity) ** 2;
  const middle = (x + z2 / 2) / (n + z2);
  const reach = Math.sqrt(z2 * ((x * (n - x)) / n + z2 / 4)) / (n + z2);
  // At the ends middle and reach are the same but for rounding.
  return { from: x === 0 ? 0 : middle - reach, to: x === n ? 1 : middle + reach };
}

/**
 * The interval of a share after Clopper and Pearson: never below the stated confidence, long.
 *
 * @param x How many of `n` there were, 0 to n. @param n From 1.
 * @throws RangeError for other counts, or a confidence not between 0 and 1.
 * @source C. J. Clopper, E. S. Pearson, Biometrika 26, 1934; by quantiles of the beta distribution (from memory).
 */
export function clopperPearson(x: number, n: number, confidence: number): ShareInterval {
  refuseCounts(x, n, confidence);
  const tail = (1 - confidence) / 2;
  return {
    from: x === 0 ? 0 : betaQuantile(tail, x, n - x + 1),
    to: x === n ? 1 : betaQuantile(1 - tail, x + 1, n - x),
  };
}

function refuseCounts(x: number, n: number, confidence: number): void {
  refuseShare("a confidence", confidence);
  if (!(Number.isInteger(n) && n >= 1)) throw new RangeError(`a share must be of one item or more, got ${n}`);
  if (!(Number.isInteger(x) && x >= 0 && x <= n)) throw new RangeError(`a count must be 0 to ${n}, got ${x}`);
}
