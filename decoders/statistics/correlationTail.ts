/**
 * ln of the chance that points without any relation correlate this well, in either direction: Student's t of n - 2
 * degrees of freedom. Logarithms, since a good gauge leaves chances below what a number can hold.
 *
 * @param r -1 to 1. @param count Points, from 3.
 * @throws RangeError for fewer points.
 * @source Abramowitz and Stegun 26.7.1 and 26.5.8 (incomplete beta function by its continued fraction), from memory.
 */
export function lnCorrelationTail(r: number, count: number): number {
  if (!(count >= 3)) throw new RangeError(`a correlation needs three points, got ${count}`);
  const freedom = count - 2;
  const rest = Math.max(1 - r * r, 1e-300); // freedom / (freedom + t^2)
  return lnIncompleteBeta(rest, 1 - rest, freedom / 2, 0.5);
}

/** ln of the regularised incomplete beta function at x; `rest` is 1 - x, which may be known better than that. */
function lnIncompleteBeta(x: number, rest: number, a: number, b: number): number {
  if (x >= 1) return 0;
  const front = a * Math.log(x) + b * Math.log(rest) - lnBeta(a, b);
  if (x < (a + 1) / (a + b + 2)) return front + Math.log(fraction(x, a, b)) - Math.log(a);
  return Math.log1p(-Math.exp(front + Math.log(fraction(rest, b, a)) - Math.log(b)));
}

function fraction(x: number, a: number, b: number): number {
  const tiny = 1e-300;
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1), tiny);
  let h = d;
  for (let m = 1; m <= 300; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / nonZero(1 + even * d, tiny);
    c = nonZero(1 + even / c, tiny);
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / nonZero(1 + odd * d, tiny);
    c = nonZero(1 + odd / c, tiny);
    const step = d * c;
    h *= step;
    if (Math.abs(step - 1) < 1e-14) break;
  }
  return h;
}

function nonZero(value: number, tiny: number): number {
  return Math.abs(value) < tiny ? tiny : value;
}

function lnBeta(a: number, b: number): number {
  return lnGamma(a) + lnGamma(b) - lnGamma(a + b);
}

/** @source C. Lanczos, 1964, with the coefficients of Numerical Recipes (from memory); tested against factorials. */
function lnGamma(x: number): number {
  const coefficients = [
    76.18009172947146, -86.50532032941678, 24.01409824083091, -1.231739572450155, 0.1208650973866179e-2,
    -0.5395239384953e-5,
  ];
  const sum = coefficients.reduce((total, one, i) => total + one / (x + 1 + i), 1.000000000190015);
  return Math.log((2.5066282746310007 * sum) / x) + (x + 0.5) * Math.log(x + 5.5) - (x + 5.5);
}
