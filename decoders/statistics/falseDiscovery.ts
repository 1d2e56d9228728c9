/**
 * p-values adjusted for how many were looked at: keeping all up to q makes a share of at most q of them false.
 *
 * @param pValues In any order; each 0 to 1.
 * @returns In the same order.
 * @source Y. Benjamini, Y. Hochberg, Controlling the False Discovery Rate, J. R. Statist. Soc. B 57, 1995.
 */
export function adjustedPValues(pValues: readonly number[]): readonly number[] {
  const order = [...pValues.keys()].sort((a, b) => pValues[b]! - pValues[a]!);
  const adjusted = new Array<number>(pValues.length);
  let least = 1;
  for (const [i, index] of order.entries()) {
    least = Math.min(least, (pValues[index]! * pValues.length) / (pValues.length - i));
    adjusted[index] = least;
  }
  return adjusted;
}
