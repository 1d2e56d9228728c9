import { sampleVariance } from "simple-statistics";

/**
 * The sample variance, by one less than the count; exactly 0 for values all alike.
 *
 * The mean of values all alike may differ from them by rounding, which would pass for a spread.
 *
 * @param values From two.
 */
export function variance(values: readonly number[]): number {
  return values.every((value) => value === values[0]) ? 0 : sampleVariance([...values]);
}
