import normalCdf from "@stdlib/stats-base-dists-normal-cdf";

/**
 * The probability that a noncentral Student's t is at most `t`: that of a standard normal value plus `shift`, divided
 * by the root of an independent chi-square over its degrees of freedom.
 *
 * @param freedom From 1.
 * @param shift Any number. Right to about ten digits up to a thousand and more.
 * @source N. L. Johnson, B. L. Welch, Biometrika 31, 1940 (the definition); summed over the logarithm of the divisor.
 */
export function noncentralStudentBelow(t: number, freedom: number, shift: number): number {
  // ln of the density of that logarithm, 0 at its top. The sums of weights make up for its factor.
  const lnDensity = (u: number) => freedom * (u - Math.expm1(2 * u) / 2);
  // As fine as the narrower of the density and the step of the normal distribution across it.
  const step = 1 / 6 / Math.max(Math.sqrt(2 * freedom), Math.abs(shift), 1);
  let hits = 0;
  let all = 0;
  for (const direction of [step, -step]) {
    for (let u = direction > 0 ? 0 : -step; ; u += direction) {
      const weight = Math.exp(lnDensity(u));
      if (weight < 1e-17) break;
      hits += weight * normalCdf(t * Math.exp(u) - shift, 0, 1);
      all += weight;
    }
  }
  return hits / all;
}
