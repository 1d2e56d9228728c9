/** The first bits of hex as records tell them, each a character. */
export function bitsOf(hex: string, count: number): string {
  return [...hex]
    .map((digit) => Number.parseInt(digit, 16).toString(2).padStart(4, "0"))
    .join("")
    .slice(0, count);
}
