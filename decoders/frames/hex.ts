/** Bits, most significant first as they went on air, as lower-case hex padded with zero bits at the end. */
export function hexOfBits(bits: Uint8Array): string {
  let text = "";
  for (let i = 0; i < bits.length; i += 4) {
    text += ((bits[i]! << 3) | ((bits[i + 1] ?? 0) << 2) | ((bits[i + 2] ?? 0) << 1) | (bits[i + 3] ?? 0)).toString(16);
  }
  return text;
}
