/** A straight line through points, pivoted at their mean. */
export interface Line {
  readonly count: number;
  readonly meanX: number;
  readonly meanY: number;
  readonly slope: number;
  /** Sum of the squared distances of x from its mean. */
  readonly sxx: number;
  /** Standard deviation of the residuals, of count - 2 degrees of freedom; `null` for two points. */
  readonly residual: number | null;
}

/**
 * The least-squares line y = meanY + slope (x - meanX).
 *
 * @throws RangeError with fewer than two different x.
 * @source JCGM 100:2008 (GUM), H.3.2.
 */
export function fitLine(points: readonly { readonly x: number; readonly y: number }[]): Line {
  const count = points.length;
  const meanX = points.reduce((sum, { x }) => sum + x, 0) / count;
  const meanY = points.reduce((sum, { y }) => sum + y, 0) / count;
  const sxx = points.reduce((sum, { x }) => sum + (x - meanX) ** 2, 0);
  if (!(sxx > 0)) throw new RangeError(`a line needs two different x, got ${count} points`);
  const slope = points.reduce((sum, { x, y }) => sum + (x - meanX) * (y - meanY), 0) / sxx;
  const squares = points.reduce((sum, { x, y }) => sum + (y - meanY - slope * (x - meanX)) ** 2, 0);
  return { count, meanX, meanY, slope, sxx, residual: count > 2 ? Math.sqrt(squares / (count - 2)) : null };
}
