import { median, medianAbsoluteDeviation } from "simple-statistics";
import { refuseValues } from "./inputs.ts";

/** Middle and spread that a few odd values do not move. */
export interface RobustView {
  readonly median: number;
  /** Median of the distances from the median. */
  readonly mad: number;
  /** `mad` as the standard deviation that it stands for where the values are normal. */
  readonly scaledMad: number;
  /** Distance of each value from the median, as a standard score; `null` where `mad` is 0: no scale to tell it by. */
  readonly z: readonly number[] | null;
  /** Which values lie more than 3.5 away, ascending; none where there is no scale. */
  readonly odd: readonly number[];
}

const FAR = 3.5;

/**
 * The values by their median and its median distance.
 *
 * @throws RangeError for no values, or one that is no number.
 * @source B. Iglewicz, D. C. Hoaglin, How to Detect and Handle Outliers, 1993 (0.6745 and 3.5), as quoted by the
 *   NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17; from memory.
 */
export function robustView(values: readonly number[]): RobustView {
  refuseValues(values, 1);
  const middle = median([...values]);
  const mad = medianAbsoluteDeviation([...values]);
  const z = mad === 0 ? null : values.map((value) => (0.6745 * (value - middle)) / mad);
  const odd = z === null ? [] : [...z.keys()].filter((index) => Math.abs(z[index]!) > FAR);
  return { median: middle, mad, scaledMad: 1.4826 * mad, z, odd };
}
