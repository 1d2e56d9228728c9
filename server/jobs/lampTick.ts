/**
 * The lamp has to be lit at or below this: three quarters of the cold placard pressure, in kPa gauge.
 *
 * Only half of the rule: where Table 1 of the standard gives a higher minimum activation pressure for the type of tyre,
 * that one holds. It says when a lamp must light, not that a tyre is right.
 *
 * @throws RangeError if the placard is not above zero.
 * @source 49 CFR 571.138 (FMVSS 138), S4.2(a): 25 percent below the recommended cold inflation pressure.
 */
export function usLampTickKpa(placardKpa: number): number {
  if (!(placardKpa > 0)) throw new RangeError(`placard must be above 0 kPa, got ${placardKpa}`);
  return 0.75 * placardKpa;
}
