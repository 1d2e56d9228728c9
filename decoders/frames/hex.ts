/** Bits, most significant first as they went on air, as lower-case hex padded with zero bits at the end. */
export function hexOfBits(bits: Uint8Array): string {
  let text = "";
  for (let i = 0; i < bits.length; i += 4) {
    text += ((bits[i]! << 3) | ((bits[i + 1] ?? 0) << 2) | ((bits[i + 2] ?? 0) << 1) | (bits[i + 3] ?? 0)).toString(16);
  }
  return text;
}

/** Bits out of hex that is padded with zero bits at the end. @throws RangeError where the hex is too short. */
export function bitsOfHex(hex: string, bitCount: number): Uint8Array {
  if (hex.length * 4 < bitCount) throw new RangeError(`${bitCount} bits asked of ${hex.length} hex digits`);
  return Uint8Array.from({ length: bitCount }, (_, i) => (Number.parseInt(hex[i >> 2]!, 16) >> (3 - (i & 3))) & 1);
}
