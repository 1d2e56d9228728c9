import { crcOfBits } from "../../../decoders/checks/crc.ts";
import { parityOfBits } from "../../../decoders/checks/parity.ts";
import { sumOfBits } from "../../../decoders/checks/sum.ts";
import { xorOfBits } from "../../../decoders/checks/xor.ts";
import { bitsOfHex, hexOfBits } from "../../../decoders/frames/hex.ts";
import { LINE_CODES, type LineCodeName } from "../../../decoders/layouts/schema.ts";
import { decodeSymbols, lineCodeOf } from "../../../decoders/linecode/lineCode.ts";

/** Line codes, checks and integers as the decoders have them. Texts of bits are zeros and ones. */
export const BIT_FUNCTIONS: Readonly<Record<string, (...given: never[]) => number | string>> = {
  lineCodeBits: (code: string, symbols: string) => lineCodeBits(code, symbols),
  crc: (width: number, poly: string, init: string, xorout: string, bits: string) =>
    hexOfValue(width, crcValue(width, poly, init, xorout, bits)),
  /** The same as zeros and ones. */
  crcBits: (width: number, poly: string, init: string, xorout: string, bits: string) =>
    crcValue(width, poly, init, xorout, bits).toString(2).padStart(width, "0"),
  parity: (kind: string, bits: string) => parityOfBits(kind === "odd" ? "odd" : "even", ofText(bits)),
  sumCheck: (width: number, init: string, bits: string) =>
    hexOfValue(width, sumOfBits({ width, init: BigInt(init), complement: false }, ofText(bits))),
  xorCheck: (width: number, init: string, bits: string) =>
    hexOfValue(width, xorOfBits({ width, init: BigInt(init) }, ofText(bits))),
  checksThatDiffer: (sent: string, heard: string) => checksThatDiffer(ofText(sent), ofText(heard)),
  hexOfBits: (bits: string) => hexOfBits(ofText(bits)),
  bitsOfHex: (hex: string, count: number) => bitsOfHex(hex, count).join(""),
  unsigned: (bits: string) => Number.parseInt(bits, 2),
  signed: (bits: string) => Number.parseInt(bits, 2) - (bits.startsWith("1") ? 2 ** bits.length : 0),
  part: (bits: string, from: number, count: number) => bits.slice(from, from + count),
  behind: (word: string, symbols: string) => behind(word, symbols),
};

function lineCodeBits(code: string, symbols: string): string {
  const name = LINE_CODES.find((one): one is LineCodeName => one === code);
  if (name === undefined) throw new RangeError(`there is no line code ${code}; there are ${LINE_CODES.join(", ")}`);
  const { bits } = decodeSymbols(lineCodeOf({ lineCode: name, pulse: undefined }), ofText(symbols), 0, symbols.length);
  return bits.join("");
}

function crcValue(width: number, poly: string, init: string, xorout: string, bits: string): bigint {
  const model = { width, poly: BigInt(poly), init: BigInt(init), refin: false, refout: false, xorout: BigInt(xorout) };
  return crcOfBits(model, ofText(bits));
}

/** Of the checks that a class knows by name, each over whole bytes, those whose value changes with the bits. */
function checksThatDiffer(sent: Uint8Array, heard: Uint8Array): string {
  const crc8 = { width: 8, poly: 0x2fn, init: 0xffn, refin: false, refout: false, xorout: 0xffn };
  const checks: Readonly<Record<string, (bits: Uint8Array) => number | bigint>> = {
    parity: (bits) => parityOfBits("even", bits),
    xor: (bits) => xorOfBits({ width: 8, init: 0n }, bits),
    sum: (bits) => sumOfBits({ width: 8, init: 0n, complement: false }, bits),
    crc: (bits) => crcOfBits(crc8, bits),
  };
  return Object.entries(checks)
    .filter(([, of]) => of(sent) !== of(heard))
    .map(([name]) => name)
    .join(",");
}

/** How many symbols stand before the end of the first such word among them. */
function behind(word: string, symbols: string): number {
  const at = symbols.indexOf(word);
  if (at < 0) throw new RangeError(`there is no ${word} in ${symbols}`);
  return at + word.length;
}

function hexOfValue(width: number, value: bigint): string {
  return value.toString(16).padStart(Math.ceil(width / 4), "0");
}

function ofText(bits: string): Uint8Array {
  if (!/^[01]*$/.test(bits)) throw new RangeError(`${bits} has other than zeros and ones`);
  return Uint8Array.from(bits, Number);
}
