import type { Check } from "../layouts/schema.ts";
import { checkWidth } from "../layouts/validate.ts";
import { type CrcModel, crcModelOf, crcOfBits } from "./crc.ts";
import { mirrored } from "./mirrored.ts";

/**
 * A check as what each bit of the frame adds to it. It agrees exactly when the group's sum of the columns of all bits
 * that are 1, the check's own bits among them, is the target. Flipping a bit so costs one operation, not a new check.
 */
export interface CheckColumns {
  /** `xor`: exclusive-or; `add`: addition modulo 2^width. */
  readonly group: "xor" | "add";
  readonly width: number;
  /** The low 32 bits of each frame bit's column; 0 for a bit that plays no part. Length of the frame. */
  readonly low: Uint32Array;
  /** The high 32 bits of the same columns; 0 up to width 32. */
  readonly high: Uint32Array;
  readonly targetLow: number;
  readonly targetHigh: number;
}

/**
 * A check's columns in a frame of `frameBits` bits. Takes time in proportion to the covered bits.
 *
 * @throws RangeError if the check reaches past the end of the frame, or its covered bits do not fill whole words.
 */
export function columnsOf(check: Check, frameBits: number): CheckColumns {
  const width = checkWidth(check);
  const covered = coveredPlaces(check);
  const furthest = covered.reduce((most, place) => Math.max(most, place), check.at + width - 1);
  if (furthest >= frameBits) throw new RangeError(`bit ${furthest} asked of a frame of ${frameBits}`);
  const word = check.kind === "crc" ? 1 : width;
  if (covered.length % word !== 0) throw new RangeError(`needs a multiple of ${word} bits, got ${covered.length}`);

  const group = check.kind === "sum" ? "add" : "xor";
  const { columns, target, ownSign } = partsOf(check, covered.length);
  const low = new Uint32Array(frameBits);
  const high = new Uint32Array(frameBits);
  const put = (place: number, column: bigint) => {
    const bits = BigInt.asUintN(width, column);
    const lowBits = Number(bits & 0xffffffffn);
    // A bit may be covered twice. Sums are at most 32 bits wide, so the high half never takes a carry.
    low[place] = group === "add" ? (low[place]! + lowBits) & allOnes(width) : low[place]! ^ lowBits;
    high[place]! ^= Number(bits >> 32n);
  };
  covered.forEach((place, i) => {
    put(place, columns[i]!);
  });
  for (let i = 0; i < width; i++) put(check.at + i, ownSign * (1n << BigInt(width - 1 - i)));
  const targetBits = BigInt.asUintN(width, target);
  return {
    group,
    width,
    low,
    high,
    targetLow: Number(targetBits & 0xffffffffn),
    targetHigh: Number(targetBits >> 32n),
  };
}

interface Parts {
  /** One for each covered bit, in the order of `covers`. */
  readonly columns: readonly bigint[];
  readonly target: bigint;
  /** What the check's own bits contribute: their weight, or minus their weight. */
  readonly ownSign: bigint;
}

function partsOf(check: Check, count: number): Parts {
  switch (check.kind) {
    case "crc": {
      // Affine over the bits: a message's CRC is that of all zeros, changed by what each 1 brings.
      const model = crcModelOf(check);
      return { columns: crcColumns(model, count), target: crcOfBits(model, new Uint8Array(count)), ownSign: 1n };
    }
    case "xor":
      return { columns: weights(check.width, count), target: BigInt(check.init ?? "0x0"), ownSign: 1n };
    case "parity":
      return { columns: weights(1, count), target: check.parity === "odd" ? 1n : 0n, ownSign: 1n };
    case "sum": {
      const init = BigInt(check.init ?? "0x0");
      const columns = weights(check.width, count);
      // Plain: init + sum = sent, so sum - sent = -init. Complement: sent = -1 - (init + sum), so sum + sent = -1 - init.
      return check.complement ? { columns, target: -1n - init, ownSign: 1n } : { columns, target: -init, ownSign: -1n };
    }
    default:
      return check satisfies never;
  }
}

/** What a single 1 at each place adds to a CRC: the last one leaves `poly` behind, and each place before it one step more. */
function crcColumns(model: CrcModel, count: number): bigint[] {
  const { width, poly, refin, refout } = model;
  const top = 1n << BigInt(width - 1);
  const columns = new Array<bigint>(count).fill(0n);
  let register = poly;
  for (let i = count - 1; i >= 0; i--) {
    columns[refin ? i ^ 7 : i] = refout ? mirrored(register, width) : register;
    register = BigInt.asUintN(width, register << 1n) ^ (register & top ? poly : 0n);
  }
  return columns;
}

/** 2^(width - 1) down to 1, over and over: the worth of each bit in its word. */
function weights(width: number, count: number): bigint[] {
  return Array.from({ length: count }, (_, i) => 1n << BigInt(width - 1 - (i % width)));
}

function coveredPlaces(check: Check): number[] {
  return check.covers.flatMap(([first, count]) => Array.from({ length: count }, (_, i) => first + i));
}

function allOnes(width: number): number {
  return 2 ** width - 1;
}
