/**
 * The factor of a two-sided 95 % interval: Student's t at 0.975.
 *
 * @param freedom Degrees of freedom, a whole number from 1.
 * @throws RangeError for any other.
 * @source Abramowitz and Stegun 26.7.3 and 26.7.4 (finite series for whole degrees of freedom), from memory; inverted by
 *   halving.
 */
export function studentT95(freedom: number): number {
  if (!(Number.isInteger(freedom) && freedom >= 1)) {
    throw new RangeError(`degrees of freedom must be 1 or more, got ${freedom}`);
  }
  let low = 1.9;
  let high = 13;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (within(middle, freedom) < 0.95) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Probability that |T| is at most t. */
function within(t: number, freedom: number): number {
  const angle = Math.atan(t / Math.sqrt(freedom));
  const cos2 = Math.cos(angle) ** 2;
  const odd = freedom % 2 === 1;
  let term = odd ? Math.cos(angle) : 1;
  let sum = freedom === 1 ? 0 : term;
  for (let k = odd ? 2 : 1; k <= freedom - 3; k += 2) {
    term *= (cos2 * k) / (k + 1);
    sum += term;
  }
  return odd ? (2 / Math.PI) * (angle + Math.sin(angle) * sum) : Math.sin(angle) * sum;
}
