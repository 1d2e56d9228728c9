import type { Check } from "../layouts/schema.ts";
import { mirrored } from "./mirrored.ts";

/** A CRC by its parameters. `init` and `poly` are meant for the register as it is clocked, before any mirroring. */
export interface CrcModel {
  /** Bits of the register, 1 to 64. */
  readonly width: number;
  /** Without its highest term. */
  readonly poly: bigint;
  readonly init: bigint;
  readonly refin: boolean;
  readonly refout: boolean;
  readonly xorout: bigint;
}

/**
 * The CRC of a row of bits.
 *
 * @param bits One bit each, 0 or 1, in the order they went on air. Not modified. With `refin` every eight bits are
 *   turned round before they are clocked in.
 * @returns The check value, `width` bits.
 * @throws RangeError if `width` is not 1 to 64, or with `refin` if the number of bits is not a multiple of eight.
 * @source R. N. Williams, A Painless Guide to CRC Error Detection Algorithms, 1993, chapter 15 (parametrised model).
 */
export function crcOfBits(model: CrcModel, bits: Uint8Array): bigint {
  if (model.refin && bits.length % 8 !== 0) {
    throw new RangeError(`refin needs a multiple of eight bits, got ${bits.length}`);
  }
  const register = clocked(model, model.init, bits, model.refin);
  return (model.refout ? mirrored(register, model.width) : register) ^ model.xorout;
}

/** The model that a layout's check describes. */
export function crcModelOf(check: Extract<Check, { kind: "crc" }>): CrcModel {
  return {
    width: check.width,
    poly: BigInt(check.poly),
    init: BigInt(check.init),
    refin: check.refin,
    refout: check.refout,
    xorout: BigInt(check.xorout),
  };
}

/**
 * What the register holds, mirrored as `refout` says but before `xorout`, once an error-free message and its check
 * value have both been clocked in: the same for every message.
 *
 * @throws RangeError if `width` is not 1 to 64.
 * @source Catalogue of parametrised CRC algorithms (G. Cook), field note on the residue.
 */
export function crcResidue(model: CrcModel): bigint {
  const { width, refin, refout, xorout } = model;
  const start = refout ? mirrored(xorout, width) : xorout;
  const register = clocked(model, start, new Uint8Array(width), false);
  return refin ? mirrored(register, width) : register;
}

/**
 * The register after all bits. It is kept at the top of 64 bits, in two halves: so one loop serves every width, the
 * feedback is always the highest bit, and no bigint is made in the loop.
 */
function clocked(model: CrcModel, start: bigint, bits: Uint8Array, refin: boolean): bigint {
  const { width } = model;
  if (!(Number.isInteger(width) && width >= 1 && width <= 64))
    throw new RangeError(`width must be 1 to 64, got ${width}`);
  const spare = BigInt(64 - width);
  const [polyHigh, polyLow] = halves(model.poly << spare);
  let [high, low] = halves(start << spare);
  const turn = refin ? 7 : 0; // index ^ 7 walks each eight bits backwards
  for (let i = 0; i < bits.length; i++) {
    const feedback = (high >>> 31) ^ bits[i ^ turn]!;
    high = (high << 1) | (low >>> 31);
    low <<= 1;
    if (feedback !== 0) {
      high ^= polyHigh;
      low ^= polyLow;
    }
  }
  return ((BigInt(high >>> 0) << 32n) | BigInt(low >>> 0)) >> spare;
}

function halves(value: bigint): [high: number, low: number] {
  return [Number(BigInt.asIntN(32, value >> 32n)), Number(BigInt.asIntN(32, value))];
}
