import type { Field, Layout } from "../../decoders/layouts/schema.ts";
import { checkOrder, checkPlace, checkValue } from "./check-value.ts";

/** Raw integers by field name. A field that is not named is all zero bits; constants need not be named. */
export type RawByField = Readonly<Record<string, number | bigint>>;

/**
 * The bits of one frame before whitening and line code, fields, constants and check values filled in.
 *
 * @param rawByField The field's integer, negative allowed where the type is `signed`.
 * @returns One bit each, 0 or 1, first on air first; length `layout.bits`. Bits that nothing names are 0.
 * @throws RangeError if a name is no field, a value is no integer of the field's width, a constant is given another
 *   value, or two checks cover each other: a caller's bug.
 * @source The contract of the frame-layout file.
 */
export function frameBits(layout: Layout, rawByField: RawByField): Uint8Array {
  for (const name of Object.keys(rawByField)) {
    if (!layout.fields.some((field) => field.name === name)) throw new RangeError(`${layout.id} has no field ${name}`);
  }
  const bits = new Uint8Array(layout.bits);
  for (const field of layout.fields) placeField(bits, field, rawByField[field.name]);
  for (const check of checkOrder(layout.checks)) {
    const { at, width } = checkPlace(check);
    placeMsbFirst(bits, at, width, checkValue(check, bits));
  }
  return bits;
}

/** Least and greatest raw integer that a field holds. */
export function rawRange(field: Field): { readonly least: bigint; readonly greatest: bigint } {
  const span = 1n << BigInt(field.bits);
  if (field.type === "signed") return { least: -span / 2n, greatest: span / 2n - 1n };
  return { least: 0n, greatest: span - 1n };
}

function placeField(bits: Uint8Array, field: Field, given: number | bigint | undefined): void {
  const constant = field.type === "constant" ? field.equals : undefined;
  if (typeof given === "number" && !Number.isInteger(given)) {
    throw new RangeError(`${field.name} must be an integer, got ${given}`);
  }
  const value = BigInt(given ?? constant ?? 0);
  const { least, greatest } = rawRange(field);
  if (value < least || value > greatest) {
    throw new RangeError(`${field.name} must be ${least} to ${greatest}, got ${value}`);
  }
  if (constant !== undefined && value !== BigInt(constant)) {
    throw new RangeError(`${field.name} is always ${constant}, got ${value}`);
  }
  const pattern = BigInt.asUintN(field.bits, value); // two's complement of a negative value
  placeMsbFirst(bits, field.at, field.bits, pattern);
  if (field.bitOrder === "lsb-first") bits.subarray(field.at, field.at + field.bits).reverse();
}

function placeMsbFirst(bits: Uint8Array, at: number, width: number, value: bigint): void {
  for (let i = 0; i < width; i++) bits[at + i] = Number((value >> BigInt(width - 1 - i)) & 1n);
}
