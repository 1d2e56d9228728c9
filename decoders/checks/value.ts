import type { Check } from "../layouts/schema.ts";
import { checkWidth } from "../layouts/validate.ts";
import { crcModelOf, crcOfBits } from "./crc.ts";
import { parityOfBits } from "./parity.ts";
import { sumModelOf, sumOfBits } from "./sum.ts";
import { xorModelOf, xorOfBits } from "./xor.ts";

/**
 * Whether the check value in a frame is the one that its covered bits call for.
 *
 * @param frame One bit each, 0 or 1, after line code and whitening are taken off. Not modified.
 * @throws RangeError if the check reaches past the end of the frame.
 */
export function checkAgrees(check: Check, frame: Uint8Array): boolean {
  return computedValue(check, frame) === sentValue(check, frame);
}

/** The check value that the covered bits of a frame call for. Throws as `checkAgrees` does. */
export function computedValue(check: Check, frame: Uint8Array): bigint {
  const bits = coveredBits(check, frame);
  switch (check.kind) {
    case "crc":
      return crcOfBits(crcModelOf(check), bits);
    case "sum":
      return sumOfBits(sumModelOf(check), bits);
    case "xor":
      return xorOfBits(xorModelOf(check), bits);
    case "parity":
      return BigInt(parityOfBits(check.parity, bits));
    default:
      return check satisfies never;
  }
}

/** The check value that stands in a frame. Throws as `checkAgrees` does. */
export function sentValue(check: Check, frame: Uint8Array): bigint {
  const width = checkWidth(check);
  stay(check.at, width, frame);
  let value = 0n;
  for (let i = 0; i < width; i++) value = (value << 1n) | BigInt(frame[check.at + i]!);
  return value;
}

/** The bits that a check is taken over, joined in the order of `covers`. */
function coveredBits(check: Check, frame: Uint8Array): Uint8Array {
  const bits = new Uint8Array(check.covers.reduce((sum, [, count]) => sum + count, 0));
  let filled = 0;
  for (const [first, count] of check.covers) {
    stay(first, count, frame);
    bits.set(frame.subarray(first, first + count), filled);
    filled += count;
  }
  return bits;
}

function stay(first: number, count: number, frame: Uint8Array): void {
  if (first + count > frame.length) {
    throw new RangeError(`bits ${first} to ${first + count - 1} asked of a frame of ${frame.length}`);
  }
}
