/** The chance 2^-bits for people, such as `1 in 4,000 million`. */
export function chanceWords(bits: number): string {
  if (bits <= 1) return "as likely as not";
  const tens = bits * Math.LOG10E * Math.LN2;
  if (tens < 6) return `1 in ${Math.round(Number((2 ** bits).toPrecision(2))).toLocaleString("en-GB")}`;
  if (tens < 9) return `1 in ${Math.round(Number((2 ** bits / 1e6).toPrecision(2))).toLocaleString("en-GB")} million`;
  return `1 in 10 to the power of ${Math.floor(tens)}`;
}
