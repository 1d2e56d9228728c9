/** Bits or symbols as hex, the first one as the highest bit, padded with zero bits to a whole digit. */
export function hexOfBits(bits: Uint8Array): string {
  let hex = "";
  for (let at = 0; at < bits.length; at += 4) {
    const digit = [0, 1, 2, 3].reduce((value, i) => 2 * value + (bits[at + i] ?? 0), 0);
    hex += digit.toString(16);
  }
  return hex;
}
