import fCdf from "@stdlib/stats-base-dists-f-cdf";
import { refuseValues } from "./inputs.ts";
import { polynomialFit } from "./polynomialFit.ts";

/** Whether points bend away from a straight line. */
export interface Curvature {
  /** What the squared term explains, by what is left; of 1 and points less three degrees of freedom. */
  readonly f: number;
  /** The chance of an `f` as large along a straight line. */
  readonly p: number;
  /** The farthest that the curve lies from the straight line at any of the points. */
  readonly largestKpaFromLine: number;
}

/**
 * Straight line against quadratic, both by least squares.
 *
 * @param points From four, with three different x; y in kPa.
 * @throws RangeError with fewer, or for anything that is no number.
 * @source F test of an added term (N. R. Draper, H. Smith, Applied Regression Analysis, extra sum of squares; from
 *   memory).
 */
export function curvature(points: readonly { readonly x: number; readonly y: number }[]): Curvature {
  const x = points.map((point) => point.x);
  const y = points.map((point) => point.y);
  refuseValues([...x, ...y], 8);
  const line = polynomialFit(x, y, 1);
  const curve = polynomialFit(x, y, 2);
  const apart = curve.fitted.map((value, i) => Math.abs(value - line.fitted[i]!));
  const largestKpaFromLine = Math.max(...apart);
  // Points along a line to the last digit leave only rounding to compare.
  const rounding = 1e-13 * Math.max(...y.map(Math.abs));
  if (largestKpaFromLine <= rounding) return { f: 0, p: 1, largestKpaFromLine };
  const gained = apart.reduce((total, value) => total + value * value, 0);
  const f = (gained * curve.freedom) / curve.residualSquares;
  // The distribution of 1/f from its small end, where one near 1 would lose it.
  return { f, p: f === Infinity ? 0 : fCdf(1 / f, curve.freedom, 1), largestKpaFromLine };
}
