import type { Check } from "../layouts/schema.ts";

/** A sum of words: each `width` bits, most significant first, added to `init` modulo 2^width. */
export interface SumModel {
  /** Bits of a word and of the result, 1 to 32. */
  readonly width: number;
  readonly init: bigint;
  /** Whether the ones' complement of the sum is sent. */
  readonly complement: boolean;
}

/**
 * The sum of a row of bits, word by word.
 *
 * No end-around carry: the ones'-complement sum of RFC 1071 is another check, which no layout has.
 *
 * @param bits One bit each, 0 or 1. Not modified.
 * @returns The check value, `width` bits.
 * @throws RangeError if `width` is not 1 to 32 or the number of bits is no multiple of it.
 */
export function sumOfBits(model: SumModel, bits: Uint8Array): bigint {
  const { width } = model;
  if (!(Number.isInteger(width) && width >= 1 && width <= 32))
    throw new RangeError(`width must be 1 to 32, got ${width}`);
  if (bits.length % width !== 0) throw new RangeError(`needs a multiple of ${width} bits, got ${bits.length}`);
  let sum = model.init;
  for (let start = 0; start < bits.length; start += width) {
    let word = 0;
    for (let i = start; i < start + width; i++) word = 2 * word + bits[i]!;
    sum += BigInt(word);
  }
  return BigInt.asUintN(width, model.complement ? ~sum : sum);
}

/** The model that a layout's check describes. */
export function sumModelOf(check: Extract<Check, { kind: "sum" }>): SumModel {
  return { width: check.width, init: BigInt(check.init ?? "0x0"), complement: check.complement ?? false };
}
