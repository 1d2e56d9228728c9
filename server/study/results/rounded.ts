/** To nine digits: what is beyond is rounding of doubles, and no figure of a study has as many. */
export function rounded(value: number): number {
  return Number(value.toPrecision(9));
}
