import type { Layout } from "./schema.ts";

/**
 * The bits that are added to a frame as it goes on air. Adding them again takes them off.
 *
 * Bit i is the exclusive-or of the bits i - d for every power d > 0 of `poly`; the first bits are the seed, its lowest
 * bit first. With `reversedBytes` every eight bits, counted from the first, are then turned round.
 *
 * @returns One bit each, 0 or 1.
 * @throws RangeError if `length` is negative or no whole number, or `poly` has no power above 0.
 */
export function whiteningSequence(whitening: NonNullable<Layout["whitening"]>, length: number): Uint8Array {
  if (!(Number.isInteger(length) && length >= 0)) throw new RangeError(`length must be a whole number, got ${length}`);
  const powers = powersOf(whitening.poly);
  const degree = powers.at(-1);
  if (degree === undefined) throw new RangeError(`poly must have a power above 0, got ${whitening.poly}`);

  // Up to the end of the last byte, since turning it round brings its end to the front.
  const sequence = new Uint8Array(Math.ceil(length / 8) * 8);
  const seed = BigInt(whitening.seed);
  for (let i = 0; i < sequence.length; i++) {
    if (i < degree) sequence[i] = Number((seed >> BigInt(i)) & 1n);
    else for (const power of powers) sequence[i]! ^= sequence[i - power]!;
  }
  if (whitening.reversedBytes) {
    for (let start = 0; start < sequence.length; start += 8) sequence.subarray(start, start + 8).reverse();
  }
  return sequence.subarray(0, length);
}

/** The powers above 0 that are set, ascending. */
function powersOf(poly: string): number[] {
  const bits = BigInt(poly).toString(2);
  return Array.from({ length: bits.length - 1 }, (_, i) => i + 1).filter((power) => bits.at(-1 - power) === "1");
}
