import { fitLine } from "../../../decoders/statistics/fitLine.ts";
import { refuseShare, refuseValues } from "./inputs.ts";
import { studentAt } from "./student.ts";

/** The line y = intercept + slope (x - pivot), with what is known of it. */
export interface CalibrationLine {
  /** The line's value at the pivot. */
  readonly intercept: number;
  readonly slope: number;
  /** Standard uncertainties. */
  readonly uIntercept: number;
  readonly uSlope: number;
  /** Correlation of intercept and slope: -1 to 1, 0 where the pivot is the mean of x. */
  readonly correlation: number;
  /** Standard deviation of the residuals. */
  readonly residual: number;
  /** Degrees of freedom: points less two. */
  readonly freedom: number;
  /** Of each point, above the line positive; as long as the points. */
  readonly residuals: readonly number[];
  /** The line at x; confidence 0.95 where none is given. Throws RangeError for one that is not between 0 and 1. */
  at(x: number, confidence?: number): LineValue;
}

/** The line's value somewhere. */
export interface LineValue {
  readonly value: number;
  /** Standard uncertainty of the line there. */
  readonly standard: number;
  /** Expanded uncertainty of the line there. */
  readonly expanded: number;
  /** Expanded uncertainty of one further observation there, whose own scatter comes on top. */
  readonly expandedOfNew: number;
}

/**
 * The least-squares line through calibration points, all as uncertain as each other, x taken as exact.
 *
 * @param points From three, with two different x.
 * @param pivot Where the intercept is told. The line does not depend on it.
 * @throws RangeError with fewer points, one x, or anything that is no number.
 * @source JCGM 100:2008, H.3: formulas H.13 in sums about the mean, and H.15 with the covariance that it needs.
 */
export function calibrationLine(
  points: readonly { readonly x: number; readonly y: number }[],
  pivot = 0,
): CalibrationLine {
  refuseValues([pivot, ...points.flatMap(({ x, y }) => [x, y])], 7);
  const { count, meanX, meanY, slope, sxx } = fitLine(points);
  const valueAt = (x: number) => meanY + slope * (x - meanX);
  const residuals = points.map(({ x, y }) => y - valueAt(x));
  const freedom = count - 2;
  const residual = Math.sqrt(residuals.reduce((sum, one) => sum + one * one, 0) / freedom);
  const leverage = (x: number) => Math.sqrt(1 / count + (x - meanX) ** 2 / sxx);
  return {
    intercept: valueAt(pivot),
    slope,
    uIntercept: residual * leverage(pivot),
    uSlope: residual / Math.sqrt(sxx),
    correlation: (pivot - meanX) / Math.sqrt(sxx) / leverage(pivot),
    residual,
    freedom,
    residuals,
    at(x, confidence = 0.95) {
      refuseValues([x], 1);
      refuseShare("a confidence", confidence);
      const factor = studentAt((1 + confidence) / 2, freedom);
      const standard = residual * leverage(x);
      const expandedOfNew = factor * Math.hypot(standard, residual);
      return { value: valueAt(x), standard, expanded: factor * standard, expandedOfNew };
    },
  };
}
