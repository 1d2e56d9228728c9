/**
 * The bit that makes the number of ones, itself included, even or odd.
 *
 * @param bits One bit each, 0 or 1. Not modified.
 */
export function parityOfBits(parity: "even" | "odd", bits: Uint8Array): 0 | 1 {
  let ones = parity === "odd" ? 1 : 0;
  for (let i = 0; i < bits.length; i++) ones ^= bits[i]!;
  return ones === 0 ? 0 : 1;
}
