import fc from "fast-check";
import { CRC } from "polycrc";
import { describe, expect, it } from "vitest";
import { type CrcModel, crcOfBits, crcResidue } from "../../decoders/checks/crc.ts";
import { bits, bitsOfBytes, bitsOfHex, nineDigits, text } from "./bitText.ts";
import { type CatalogueRow, crcCatalogue, crcCatalogueFromMemory } from "./crcCatalogue.ts";

describe.each([...crcCatalogue, ...crcCatalogueFromMemory])("%s", (...row) => {
  const model = modelOf(row);
  const [, , , , , , , check, residue] = row;
  it("gives its published check value", () => {
    expect(crcOfBits(model, nineDigits)).toBe(check);
  });
  it("gives its published residue", () => {
    expect(crcResidue(model)).toBe(residue);
  });
  it("leaves the residue behind any message followed by its check value", () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 12 }), (message) => {
        expect(leftBehind(model, message)).toBe(residue);
      }),
      { numRuns: 20 },
    );
  });
});

it("covers every catalogue entry up to width 32, and eight wider ones", () => {
  expect(crcCatalogue).toHaveLength(104);
  expect(new Set(crcCatalogue.map(([name]) => name)).size).toBe(104);
  expect(Math.max(...crcCatalogue.map(([, width]) => width))).toBe(32);
  expect(crcCatalogueFromMemory).toHaveLength(8);
});

// Message in hex, then the CRC as a number. Vectors from memory of the document named; they agree with an independent
// calculation of the catalogue's model.
const vectors: readonly (readonly [model: string, source: string, message: string, crc: bigint])[] = [
  ["CRC-16/ISO-IEC-14443-3-A", "ISO/IEC 14443-3 Annex B", "0000", 0x1ea0n],
  ["CRC-16/ISO-IEC-14443-3-A", "ISO/IEC 14443-3 Annex B", "1234", 0xcf26n],
  ["CRC-16/IBM-SDLC", "ISO/IEC 14443-3 Annex B", "000000", 0xc6ccn],
  ["CRC-16/IBM-SDLC", "ISO/IEC 14443-3 Annex B", "0FAAFF", 0xd1fcn],
  ["CRC-16/IBM-SDLC", "ISO/IEC 14443-3 Annex B", "0A123456", 0xf62cn],
  ["CRC-16/MODBUS", "serial line guide of that bus", "01030000000A", 0xcdc5n],
  ["CRC-8/MAXIM-DOW", "application note 27 of the 1-Wire maker", "021CB801000000", 0xa2n],
  ["CRC-8/NRSC-5", "humidity-sensor data sheets", "BEEF", 0x92n],
  ["CRC-8/SAE-J1850", "AUTOSAR CRC library", "00000000", 0x59n],
  ["CRC-8/SAE-J1850", "AUTOSAR CRC library", "F20183", 0x37n],
  ["CRC-8/SAE-J1850", "AUTOSAR CRC library", "0FAA0055", 0x79n],
  ["CRC-8/SAE-J1850", "AUTOSAR CRC library", "00FF5511", 0xb8n],
  ["CRC-8/SAE-J1850", "AUTOSAR CRC library", "332255AABBCCDDEEFF", 0xcbn],
  ["CRC-8/SAE-J1850", "AUTOSAR CRC library", "926B55", 0x8cn],
  ["CRC-8/SAE-J1850", "AUTOSAR CRC library", "FFFFFFFF", 0x74n],
  ["CRC-8/AUTOSAR", "AUTOSAR CRC library", "00000000", 0x12n],
  ["CRC-8/AUTOSAR", "AUTOSAR CRC library", "F20183", 0xc2n],
  ["CRC-8/AUTOSAR", "AUTOSAR CRC library", "0FAA0055", 0xc6n],
  ["CRC-8/AUTOSAR", "AUTOSAR CRC library", "00FF5511", 0x77n],
  ["CRC-8/AUTOSAR", "AUTOSAR CRC library", "332255AABBCCDDEEFF", 0x11n],
  ["CRC-8/AUTOSAR", "AUTOSAR CRC library", "926B55", 0x33n],
  ["CRC-8/AUTOSAR", "AUTOSAR CRC library", "FFFFFFFF", 0x6cn],
  ["CRC-16/IBM-3740", "AUTOSAR CRC library", "00000000", 0x84c0n],
  ["CRC-16/IBM-3740", "AUTOSAR CRC library", "F20183", 0xd374n],
  ["CRC-16/IBM-3740", "AUTOSAR CRC library", "0FAA0055", 0x2023n],
  ["CRC-16/IBM-3740", "AUTOSAR CRC library", "00FF5511", 0xb8f9n],
  ["CRC-16/IBM-3740", "AUTOSAR CRC library", "332255AABBCCDDEEFF", 0xf53fn],
  ["CRC-16/IBM-3740", "AUTOSAR CRC library", "926B55", 0x0745n],
  ["CRC-16/IBM-3740", "AUTOSAR CRC library", "FFFFFFFF", 0x1d0fn],
  ["CRC-32/ISCSI", "RFC 3720 B.4, 32 bytes of 00", "00".repeat(32), 0x8a9136aan],
  ["CRC-32/ISCSI", "RFC 3720 B.4, 32 bytes of FF", "FF".repeat(32), 0x62a8ab43n],
  ["CRC-32/ISCSI", "RFC 3720 B.4, 00 up to 1F", ascendingBytes(32), 0x46dd794en],
  ["CRC-24/OPENPGP", "RFC 4880 section 6.1, empty", "", 0xb704cen],
];

it.each(vectors)("%s agrees with %s: %s", (name, _source, message, crc) => {
  expect(crcOfBits(modelNamed(name), bitsOfHex(message))).toBe(crc);
});

// Rows of bits in air order: nothing is mirrored, and the check's bits leave the register from the top.
const airOrder: readonly (readonly [source: string, model: CrcModel, message: string, sent: string])[] = [
  // USB-IF, "Cyclic redundancy checks in USB": vectors from memory, recalculated. Eleven bits: address and endpoint.
  ["USB token, address 15h endpoint Eh", air(5, 0x05n, 0x1fn, 0x1fn), "1010100 0111", "10111"],
  ["USB token, address 3Ah endpoint Ah", air(5, 0x05n, 0x1fn, 0x1fn), "0101110 0101", "11100"],
  ["USB token, address 70h endpoint 4h", air(5, 0x05n, 0x1fn, 0x1fn), "0000111 0010", "01110"],
  // IEEE 802.15.4g section 5.2.1.9, as unit tests of an open implementation quote it: read there, recalculated.
  ["802.15.4 two-octet FCS", air(16, 0x1021n, 0n, 0n), "0100 0000 0000 0000 0101 0110", "0010 0111 1001 1110"],
  // R. N. Williams, A Painless Guide to CRC Error Detection Algorithms, chapter 6: the division done by hand.
  ["Williams chapter 6", air(4, 0x3n, 0n, 0n), "1101011011", "1110"],
];

it.each(airOrder)("in air order and for any number of bits: %s", (_source, model, message, sent) => {
  const wanted = BigInt(`0b${sent.replaceAll(" ", "")}`);
  expect(crcOfBits(model, bits(message))).toBe(wanted);
});

describe("802.15.4 four-octet FCS (section 5.2.1.9, read and recalculated)", () => {
  const model = air(32, 0x04c11db7n, 0xffffffffn, 0xffffffffn);
  it("is taken over the message stretched to four octets", () => {
    expect(crcOfBits(model, bitsOfHex("40 00 56 00"))).toBe(0x5d29fa28n);
  });
  it("would be another without the stretching", () => {
    expect(crcOfBits(model, bitsOfHex("40 00 56"))).toBe(0x5ca1458an);
  });
});

describe("any model", () => {
  const anyModel = fc
    .record({ width: fc.integer({ min: 3, max: 32 }), reflect: fc.boolean() })
    .chain(({ width, reflect }) => {
      const register = fc.bigInt({ min: 0n, max: (1n << BigInt(width)) - 1n });
      return fc
        .record({ poly: register, init: register, xorout: register })
        .map((numbers): CrcModel => ({ width, refin: reflect, refout: reflect, ...numbers }));
    });
  // The catalogue's xorouts read the same both ways wherever the register is mirrored; these do not.
  it("leaves its residue behind any message followed by its check value", () => {
    fc.assert(
      fc.property(anyModel, fc.uint8Array({ maxLength: 12 }), (model, message) => {
        expect(leftBehind(model, message)).toBe(crcResidue(model));
      }),
      { numRuns: 300 },
    );
  });
  it("gives the value that polycrc, an independent implementation, gives", () => {
    fc.assert(
      fc.property(anyModel, fc.uint8Array({ maxLength: 40 }), (model, message) => {
        const { width, poly, init, xorout, refin } = model;
        const theirs = new CRC(width, Number(poly), Number(init), Number(xorout), refin).calculate(message);
        expect(crcOfBits(model, bitsOfBytes(message))).toBe(BigInt(theirs));
      }),
      { numRuns: 1000 },
    );
  });
});

it("refuses mirrored bytes that are not whole, and a width that has no register", () => {
  expect(() => crcOfBits(modelNamed("CRC-8/ROHC"), bits("1010101"))).toThrow(RangeError);
  expect(() => crcOfBits(air(65, 1n, 0n, 0n), bits("1"))).toThrow(RangeError);
  expect(() => crcResidue(air(0, 1n, 0n, 0n))).toThrow(RangeError);
});

function modelOf([, width, poly, init, refin, refout, xorout]: CatalogueRow): CrcModel {
  return { width, poly, init, refin, refout, xorout };
}

function modelNamed(name: string): CrcModel {
  const row = crcCatalogue.find(([entry]) => entry === name);
  if (!row) throw new RangeError(`no such entry: ${name}`);
  return modelOf(row);
}

/**
 * What the register holds, mirrored as `refout` says, after a message and its check value. The register's bits follow
 * the message in the order they leave it, so the whole is one row of clocked bits.
 */
function leftBehind(model: CrcModel, message: Uint8Array): bigint {
  const clocked = text(bitsOfBytes(model.refin ? message.map(turnedByte) : message));
  const check = crcOfBits(model, bitsOfBytes(message)).toString(2).padStart(model.width, "0");
  const whole = clocked + (model.refout ? [...check].reverse().join("") : check);
  return crcOfBits({ ...model, refin: false, xorout: 0n }, bits(whole));
}

function air(width: number, poly: bigint, init: bigint, xorout: bigint): CrcModel {
  return { width, poly, init, refin: false, refout: false, xorout };
}

function turnedByte(byte: number): number {
  return Number.parseInt([...byte.toString(2).padStart(8, "0")].reverse().join(""), 2);
}

function ascendingBytes(count: number): string {
  return Array.from({ length: count }, (_, i) => i.toString(16).padStart(2, "0")).join("");
}
