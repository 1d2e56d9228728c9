import { describe, expect, it } from "vitest";
import { crcOfBits } from "../../decoders/checks/crc.ts";
import { parityOfBits } from "../../decoders/checks/parity.ts";
import { sumOfBits } from "../../decoders/checks/sum.ts";
import { xorOfBits } from "../../decoders/checks/xor.ts";
import { bits, bitsOfHex, nineDigits } from "./bitText.ts";

// The ones'-complement sum of RFC 1071, Fletcher's and Adler's sums are no checks of a layout and so are not tested.

describe("sum modulo 256", () => {
  const plain = { width: 8, init: 0n, complement: false };

  // Plain arithmetic, recalculated: 31 + 32 + ... + 39 in hex is 1DD.
  it("of the nine digits is DD, and 22 in ones' complement", () => {
    expect(sumOfBits(plain, nineDigits)).toBe(0xddn);
    expect(sumOfBits({ ...plain, complement: true }, nineDigits)).toBe(0x22n);
  });

  it("starts from init", () => {
    expect(sumOfBits({ ...plain, init: 0x23n }, nineDigits)).toBe(0n);
    expect(sumOfBits({ ...plain, init: 1n, complement: true }, nineDigits)).toBe(0x21n);
  });

  // A printed "LRC" is the two's complement of the byte sum, so a message and its LRC add up to 0. Read in a drive
  // manual (p. 8-11) and two web examples; the first two sums are printed as 14C and 21E.
  it.each([
    ["7F 03 05 C4 00 01", 0x4cn, 0xb4n],
    ["01 A0 7C FF 02", 0x1en, 0xe2n],
    ["11 04 08 02 00 02 00 02 00 02 00", 0x25n, 0xdbn],
  ])("of %s is the printed one, and its published LRC brings it to zero", (message, sum, lrc) => {
    expect(sumOfBits(plain, bitsOfHex(message))).toBe(sum);
    expect(sumOfBits({ ...plain, init: lrc }, bitsOfHex(message))).toBe(0n);
  });

  it("takes words of any width, the highest bit first", () => {
    expect(sumOfBits({ width: 4, init: 0n, complement: false }, bitsOfHex("9A"))).toBe(0x3n);
    expect(sumOfBits({ width: 5, init: 0n, complement: false }, bits("00011 11110"))).toBe(1n);
    expect(sumOfBits({ width: 32, init: 2n, complement: false }, bitsOfHex("FF FF FF FF"))).toBe(1n);
    expect(() => sumOfBits(plain, bits("1010101"))).toThrow(RangeError);
  });
});

describe("exclusive-or of bytes", () => {
  const plain = { width: 8, init: 0n };

  // Block check character, read in an encyclopaedic article on longitudinal redundancy checks and recalculated.
  it("of the nine digits is 31, which is also their CRC-8 with polynomial x^8 + 1", () => {
    expect(xorOfBits(plain, nineDigits)).toBe(0x31n);
    const model = { width: 8, poly: 0x01n, init: 0n, refin: false, refout: false, xorout: 0n };
    expect(crcOfBits(model, nineDigits)).toBe(0x31n);
  });

  it("starts from init and takes words of any width", () => {
    expect(xorOfBits({ width: 8, init: 0x31n }, nineDigits)).toBe(0n);
    expect(xorOfBits({ width: 4, init: 0n }, bitsOfHex("9A"))).toBe(0x3n);
    expect(xorOfBits({ width: 32, init: 0n }, bitsOfHex("80 00 00 01"))).toBe(0x80000001n);
    expect(() => xorOfBits(plain, bits("1010101"))).toThrow(RangeError);
  });
});

describe("parity", () => {
  // "123456789" has 33 ones (counted); parity is the CRC whose polynomial is x + 1.
  it("of the nine digits is 1 if even, 0 if odd, and is the CRC of one bit", () => {
    expect(parityOfBits("even", nineDigits)).toBe(1);
    expect(parityOfBits("odd", nineDigits)).toBe(0);
    const model = { width: 1, poly: 1n, init: 0n, refin: false, refout: false, xorout: 0n };
    expect(crcOfBits(model, nineDigits)).toBe(1n);
  });
});
