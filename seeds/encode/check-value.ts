import type { Check } from "../../decoders/layouts/schema.ts";

type Crc = Extract<Check, { kind: "crc" }>;
type Sum = Extract<Check, { kind: "sum" }>;
type Xor = Extract<Check, { kind: "xor" }>;

/**
 * The value that belongs into a check's place, over the bits that it covers.
 *
 * @param bits The frame, one bit each, with everything that the check covers already in place. Not modified.
 * @returns 0 to 2^width - 1.
 * @throws RangeError if the covered bits are no whole number of words: `parseLayout` refuses such a layout.
 */
export function checkValue(check: Check, bits: Uint8Array): bigint {
  const covered = check.covers.flatMap(([first, count]) => Array.from(bits.subarray(first, first + count)));
  switch (check.kind) {
    case "crc":
      return crcValue(check, covered);
    case "sum":
      return sumValue(check, covered);
    case "xor":
      return xorValue(check, covered);
    case "parity": {
      const ones = covered.filter((bit) => bit === 1).length;
      return BigInt((ones + (check.parity === "odd" ? 1 : 0)) % 2);
    }
    default:
      throw new RangeError(`unknown check ${JSON.stringify(check satisfies never)}`);
  }
}

/** Where a check's value stands in the frame: first bit and number of bits. */
export function checkPlace(check: Check): { readonly at: number; readonly width: number } {
  return { at: check.at, width: check.kind === "parity" ? 1 : check.width };
}

/**
 * The checks in an order in which each comes after those whose values it covers.
 *
 * @throws RangeError if two checks cover each other, directly or through others.
 */
export function checkOrder(checks: readonly Check[]): readonly Check[] {
  const waiting = [...checks];
  const ordered: Check[] = [];
  while (waiting.length > 0) {
    const next = waiting.findIndex((check) => !waiting.some((other) => other !== check && covers(check, other)));
    if (next < 0) throw new RangeError("checks cover each other");
    ordered.push(...waiting.splice(next, 1));
  }
  return ordered;
}

function covers(check: Check, other: Check): boolean {
  const { at, width } = checkPlace(other);
  return check.covers.some(([first, count]) => first < at + width && at < first + count);
}

/**
 * The Rocksoft model, bit by bit: `init` is the register before any mirroring, `refin` turns every eight bits of the
 * message, `refout` mirrors the register at the end.
 *
 * @source R. N. Williams, "A Painless Guide to CRC Error Detection Algorithms", 1993, chapter 15.
 */
function crcValue(check: Crc, covered: readonly number[]): bigint {
  const width = BigInt(check.width);
  const mask = (1n << width) - 1n;
  const poly = BigInt(check.poly);
  let register = BigInt(check.init);
  for (const bit of check.refin ? inTurnedBytes(covered) : covered) {
    const feedback = Number(register >> (width - 1n)) ^ bit;
    register = (register << 1n) & mask;
    if (feedback === 1) register ^= poly & mask;
  }
  return (check.refout ? mirrored(register, check.width) : register) ^ BigInt(check.xorout);
}

function sumValue(check: Sum, covered: readonly number[]): bigint {
  const mask = (1n << BigInt(check.width)) - 1n;
  const sum = words(covered, check.width).reduce((total, word) => total + word, BigInt(check.init ?? "0x0")) & mask;
  return check.complement ? sum ^ mask : sum;
}

function xorValue(check: Xor, covered: readonly number[]): bigint {
  return words(covered, check.width).reduce((total, word) => total ^ word, BigInt(check.init ?? "0x0"));
}

function words(covered: readonly number[], width: number): bigint[] {
  if (covered.length % width !== 0) throw new RangeError(`${covered.length} bits are no whole words of ${width}`);
  return Array.from({ length: covered.length / width }, (_, i) =>
    covered.slice(i * width, (i + 1) * width).reduce((word, bit) => (word << 1n) | BigInt(bit), 0n),
  );
}

function inTurnedBytes(covered: readonly number[]): number[] {
  if (covered.length % 8 !== 0) throw new RangeError(`${covered.length} bits are no whole bytes`);
  return Array.from(covered, (_, i) => covered[i - (i % 8) + 7 - (i % 8)]!);
}

function mirrored(value: bigint, width: number): bigint {
  let turned = 0n;
  for (let i = 0; i < width; i++) turned = (turned << 1n) | ((value >> BigInt(i)) & 1n);
  return turned;
}
