import type { Layout } from "../../decoders/layouts/schema.ts";

/**
 * The sequence that is added to a frame as it goes on air.
 *
 * s[i] is the exclusive-or of s[i - d] for every power d > 0 set in `poly`; the first bits are the seed, lowest bit
 * first. `reversedBytes` turns every eight bits of the sequence round.
 *
 * @param length Number of bits wanted.
 * @returns One bit each, 0 or 1.
 */
export function whiteningBits(whitening: NonNullable<Layout["whitening"]>, length: number): Uint8Array {
  const poly = BigInt(whitening.poly);
  const seed = BigInt(whitening.seed);
  const degree = poly.toString(2).length - 1;
  const powers = Array.from({ length: degree }, (_, i) => i + 1).filter((d) => ((poly >> BigInt(d)) & 1n) === 1n);

  const padded = Math.ceil(length / 8) * 8; // whole bytes, so that the last one can be turned round too
  const bits = new Uint8Array(padded);
  for (let i = 0; i < padded; i++) {
    if (i < degree) bits[i] = Number((seed >> BigInt(i)) & 1n);
    else for (const d of powers) bits[i]! ^= bits[i - d]!;
  }
  if (whitening.reversedBytes) for (let at = 0; at < padded; at += 8) bits.subarray(at, at + 8).reverse();
  return bits.subarray(0, length);
}
