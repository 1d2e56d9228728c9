import type { Check } from "../layouts/schema.ts";

/** The exclusive-or of words: each `width` bits, most significant first, on top of `init`. */
export interface XorModel {
  /** Bits of a word and of the result, 1 to 32. */
  readonly width: number;
  readonly init: bigint;
}

/**
 * The exclusive-or of a row of bits, word by word.
 *
 * @param bits One bit each, 0 or 1. Not modified.
 * @returns The check value, `width` bits.
 * @throws RangeError if `width` is not 1 to 32 or the number of bits is no multiple of it.
 */
export function xorOfBits(model: XorModel, bits: Uint8Array): bigint {
  const { width } = model;
  if (!(Number.isInteger(width) && width >= 1 && width <= 32))
    throw new RangeError(`width must be 1 to 32, got ${width}`);
  if (bits.length % width !== 0) throw new RangeError(`needs a multiple of ${width} bits, got ${bits.length}`);
  let result = Number(model.init);
  for (let start = 0; start < bits.length; start += width) {
    for (let i = 0; i < width; i++) result ^= bits[start + i]! << (width - 1 - i);
  }
  return BigInt(result >>> 0);
}

/** The model that a layout's check describes. */
export function xorModelOf(check: Extract<Check, { kind: "xor" }>): XorModel {
  return { width: check.width, init: BigInt(check.init ?? "0x0") };
}
