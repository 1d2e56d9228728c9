/**
 * Polynomials that check values are made with, by width, without the highest term.
 *
 * @source Catalogue of parametrised CRC algorithms (G. Cook), from memory; those that the tests of checks use are compared
 *   with it there.
 */
const KNOWN: Readonly<Record<number, readonly number[]>> = {
  3: [0x3],
  4: [0x3, 0x9],
  5: [0x05, 0x09, 0x15],
  6: [0x03, 0x07, 0x19, 0x27, 0x2f],
  7: [0x09, 0x45, 0x4f],
  8: [0x07, 0x1d, 0x2f, 0x31, 0x39, 0x49, 0x9b, 0xa7, 0xcf, 0xd5],
  10: [0x175, 0x233, 0x3d9],
  11: [0x307, 0x385],
  12: [0x80f, 0xd31, 0xf13],
  13: [0x1cf5],
  14: [0x0805, 0x202d],
  15: [0x4599, 0x6815],
  16: [0x0589, 0x080b, 0x1021, 0x1dcf, 0x3d65, 0x5935, 0x6f63, 0x755b, 0x8005, 0x8bb7, 0xa097, 0xc867],
  24: [0x00065b, 0x328b63, 0x5d6dcb, 0x800063, 0x864cfb, 0xb2b117],
  32: [0x000000af, 0x04c11db7, 0x1edc6f41, 0x741b8cd7, 0x814141ab, 0xa833982b, 0xf4acfb13],
};

/** Bits that it takes to name a polynomial: of a known one which, of any other all of it. */
export function bitsToName(poly: bigint, width: number): number {
  const known = KNOWN[width]?.some((one) => BigInt(one) === poly) ?? false;
  return known ? BITS_OF_KNOWN : width + 1;
}

const BITS_OF_KNOWN = 1 + Math.log2(Object.values(KNOWN).flat().length);
