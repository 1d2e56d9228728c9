import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Check, Layout } from "../../decoders/layouts/schema.ts";
import { checkValue } from "../../seeds/encode/check-value.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols, symbolsPerBit } from "../../seeds/encode/frame-symbols.ts";
import { encodeLine } from "../../seeds/encode/line-code.ts";
import { pressureInUnit, rawFromPhysical, temperatureInUnit } from "../../seeds/encode/raw-from-physical.ts";
import { whiteningBits } from "../../seeds/encode/whitening.ts";

const bitsOf = (text: string) => Uint8Array.from(text.replaceAll(" ", ""), Number);
const textOf = (bits: Uint8Array) => Array.from(bits).join("");
const bytesToBits = (bytes: Iterable<number>) =>
  bitsOf(Array.from(bytes, (byte) => byte.toString(2).padStart(8, "0")).join(""));
const layoutOf = (id: string): Layout => {
  const layout = builtinLayouts.find((one) => one.id === id);
  if (!layout) throw new Error(`no layout ${id}`);
  return layout;
};

// Worked by hand from the published rules: IEEE Std 802.3 clause 7 (preamble end and start delimiter 55 55 D5, low bit
// first), IEEE Std 802.5 (differential Manchester), IEC 60958-1 (biphase mark), and the decimal 1337 = 10100111001 of the
// usual Manchester figure.
const worked = [
  ["manchester-ieee", 0, "10100111001", "01 10 01 10 10 01 01 01 10 10 01"],
  ["manchester-thomas", 0, "10100111001", "10 01 10 01 01 10 10 10 01 01 10"],
  ["manchester-ieee", 1, "10110001", "0110010110101001"],
  ["manchester-thomas", 1, "11001010", "1010010110011001"],
  ["manchester-ieee", 0, "1010101010101010 10101011", "01100110 01100110 01100110 01100110 01100110 01100101"],
  ["differential-manchester", 0, "10100111001", "01 01 10 10 10 01 10 01 01 01 10"],
  ["differential-manchester", 1, "10100111001", "10 10 01 01 01 10 01 10 10 10 01"],
  ["biphase-mark", 0, "10100111001", "10 11 01 00 11 01 01 01 00 11 01"],
  ["biphase-mark", 0, "10110001", "10 11 01 01 00 11 00 10"],
  ["biphase-mark", 0, "00000000", "1100110011001100"],
  ["biphase-space", 0, "10110001", "11 01 00 11 01 01 01 00"],
  ["biphase-space", 1, "10110001", "00 10 11 00 10 10 10 11"],
  ["nrzi", 0, "10100111001", "11000101110"],
  ["nrz", 1, "10100111001", "10100111001"],
] as const;

describe("the line codes", () => {
  it.each(worked)("%s after level %i writes %s as published", (lineCode, before, bits, symbols) => {
    expect(textOf(encodeLine({ lineCode }, bitsOf(bits), before))).toBe(symbols.replaceAll(" ", ""));
  });

  it("write pulses as the layout has them", () => {
    const pulse = { zero: "100", one: "110" };
    expect(textOf(encodeLine({ lineCode: "pulse", pulse }, bitsOf("10110"), 0))).toBe("110100110110100");
    expect(symbolsPerBit({ lineCode: "pulse", pulse: { zero: "10", one: "100" } })).toBe(2.5);
  });
});

// Check values: Catalogue of parametrised CRC algorithms (G. Cook); check = CRC of the nine ASCII bytes "123456789".
const catalogue = [
  ["CRC-3/GSM", 3, "0x3", "0x0", false, false, "0x7", 0x4],
  ["CRC-4/G-704", 4, "0x3", "0x0", true, true, "0x0", 0x7],
  ["CRC-5/USB", 5, "0x05", "0x1f", true, true, "0x1f", 0x19],
  ["CRC-8/AUTOSAR", 8, "0x2f", "0xff", false, false, "0xff", 0xdf],
  ["CRC-8/MAXIM-DOW", 8, "0x31", "0x00", true, true, "0x00", 0xa1],
  ["CRC-12/DECT", 12, "0x80f", "0x000", false, false, "0x000", 0xf5b],
  ["CRC-12/UMTS", 12, "0x80f", "0x000", false, true, "0x000", 0xdaf],
  ["CRC-16/CMS", 16, "0x8005", "0xffff", false, false, "0x0000", 0xaee7],
  ["CRC-16/KERMIT", 16, "0x1021", "0x0000", true, true, "0x0000", 0x2189],
  ["CRC-16/TMS37157", 16, "0x1021", "0x89ec", true, true, "0x0000", 0x26b1],
  ["CRC-24/BLE", 24, "0x00065b", "0x555555", true, true, "0x000000", 0xc25a56],
  ["CRC-32/ISO-HDLC", 32, "0x04c11db7", "0xffffffff", true, true, "0xffffffff", 0xcbf43926],
] as const;

describe("the checks", () => {
  const message = bytesToBits(new TextEncoder().encode("123456789"));
  const covers: [number, number][] = [[0, 72]];

  it.each(catalogue)("%s gives its published check value", (_, width, poly, init, refin, refout, xorout, value) => {
    const check: Check = { kind: "crc", width, poly, init, refin, refout, xorout, covers, at: 72 };
    expect(checkValue(check, message)).toBe(BigInt(value));
  });

  it("a CRC of 64 bits gives its published check value", () => {
    // Same catalogue, CRC-64/ECMA-182.
    const zero = "0x0000000000000000";
    const poly = "0x42f0e1eba9ea3693";
    const shape = { kind: "crc", width: 64, refin: false, refout: false, covers, at: 72 } as const;
    expect(checkValue({ ...shape, poly, init: zero, xorout: zero }, message)).toBe(0x6c40df5f0b497347n);
  });

  it("sums, exclusive-ors and parities agree with values worked by hand", () => {
    // The bytes 31..39 sum up to 0x1dd; inverted 22. Their exclusive-or is 31. They hold 33 ones.
    expect(checkValue({ kind: "sum", width: 8, covers, at: 72 }, message)).toBe(0xddn);
    expect(checkValue({ kind: "sum", width: 8, complement: true, covers, at: 72 }, message)).toBe(0x22n);
    expect(checkValue({ kind: "sum", width: 8, init: "0x5a", covers, at: 72 }, message)).toBe(0x37n);
    expect(checkValue({ kind: "xor", width: 8, covers, at: 72 }, message)).toBe(0x31n);
    expect(checkValue({ kind: "xor", width: 4, init: "0xf", covers, at: 72 }, message)).toBe(0xdn);
    expect(checkValue({ kind: "parity", parity: "even", covers, at: 72 }, message)).toBe(1n);
    expect(checkValue({ kind: "parity", parity: "odd", covers, at: 72 }, message)).toBe(0n);
  });

  it("join the covered stretches in the order given", () => {
    const turned: [number, number][] = [
      [8, 8],
      [0, 8],
    ];
    const swapped = bytesToBits([0x32, 0x31, ...new TextEncoder().encode("3456789")]);
    const rest: [number, number] = [16, 56];
    const [, width, poly, init, refin, refout, xorout, value] = catalogue[7];
    const check: Check = { kind: "crc", width, poly, init, refin, refout, xorout, covers: [...turned, rest], at: 72 };
    expect(checkValue(check, swapped)).toBe(BigInt(value));
  });

  it("are filled in after those that they cover, whatever their order in the file", () => {
    const layout = layoutOf("market-bike");
    const turned = { ...layout, checks: layout.checks.toReversed() };
    const raw = { sensor: 0x12345, pressure: 230, temperature: 50 };
    const bits = frameBits(layout, raw);
    expect(frameBits(turned, raw)).toEqual(bits);
    // 12 34 50 e6 64: 20 bits of identity, 3 of mode, 9 of pressure (0e6), 7 of temperature, 1 flag.
    const bytes = [0x12, 0x34, 0x50, 0xe6, 0x64];
    const sum = bytes.reduce((total, byte) => total + byte, 0x5a) & 0xff;
    const nibbles = [...bytes, sum].flatMap((byte) => [byte >> 4, byte & 15]);
    const xor = nibbles.reduce((total, nibble) => total ^ nibble, 0);
    expect(textOf(bits)).toBe(textOf(bytesToBits([...bytes, sum])) + xor.toString(2).padStart(4, "0"));
  });
});

describe("the whitening", () => {
  it("begins as the contract's example does, FF E1 1D 9A with the lowest bit first", () => {
    // Texas Instruments design note DN509: PN9, x^9 + x^5 + 1, all-ones seed; first octets FF E1 1D 9A.
    const bits = whiteningBits({ poly: "0x211", seed: "0x1ff" }, 32);
    expect(textOf(bits.subarray(0, 24))).toBe("111111111000011110111000");
    const turned = whiteningBits({ poly: "0x211", seed: "0x1ff", reversedBytes: true }, 32);
    expect(textOf(turned)).toBe(textOf(bytesToBits([0xff, 0xe1, 0x1d, 0x9a])));
  });

  it("turns DN509's example data 0A 00 01 02 into F5 E1 1C 98", () => {
    const sequence = whiteningBits({ poly: "0x211", seed: "0x1ff", reversedBytes: true }, 32);
    const sent = bytesToBits([0x0a, 0x00, 0x01, 0x02]).map((bit, i) => bit ^ sequence[i]!);
    expect(textOf(sent)).toBe(textOf(bytesToBits([0xf5, 0xe1, 0x1c, 0x98])));
  });

  it("takes the seed's lowest bit first", () => {
    // s[9] = s[5] + s[0] = 1, s[13] = s[9] + s[4] = 1; all others up to there are 0.
    expect(textOf(whiteningBits({ poly: "0x211", seed: "0x001" }, 14))).toBe("10000000010001");
  });

  it("repeats after 511 bits, 256 of them ones", () => {
    const bits = whiteningBits({ poly: "0x211", seed: "0x1ff" }, 1022);
    expect(bits.subarray(511)).toEqual(bits.subarray(0, 511));
    expect(bits.subarray(0, 511).filter((bit) => bit === 1)).toHaveLength(256);
  });
});

describe("frames", () => {
  it("place fields where the layout has them, and low bits first where it says so", () => {
    const bits = frameBits(layoutOf("ferry-shuttle"), { sensor: 0x0000001, pressure: 0x003, temperature: -1, cell: 1 });
    expect(textOf(bits.subarray(0, 56))).toBe(`1${"0".repeat(27)}0000110000000011111111100000`);
  });

  it("hold constants, and refuse what does not fit", () => {
    const layout = layoutOf("crane-tug");
    expect(textOf(frameBits(layout, {}).subarray(0, 8))).toBe("01011101"); // 93
    expect(() => frameBits(layout, { temperature: 128 })).toThrow("temperature must be -128 to 127, got 128");
    expect(() => frameBits(layout, { pressure: -1 })).toThrow(RangeError);
    expect(() => frameBits(layout, { family: 1 })).toThrow("family is always 93");
    expect(() => frameBits(layout, { wheel: 1 })).toThrow("no field wheel");
    expect(() => frameBits(layout, { pressure: 1.5 })).toThrow("pressure must be an integer");
  });

  it("refuse checks that cover each other", () => {
    const layout = layoutOf("market-bike");
    const checks: Check[] = [
      { kind: "xor", width: 4, covers: [[48, 4]], at: 44 },
      { kind: "xor", width: 4, covers: [[44, 4]], at: 48 },
    ];
    expect(() => frameBits({ ...layout, checks }, {})).toThrow("checks cover each other");
  });

  it("go on air as preamble, sync and coded frame", () => {
    for (const layout of builtinLayouts) {
      const lead = layout.preamble.symbols.repeat(layout.preamble.repeat) + layout.sync.symbols;
      const symbols = textOf(frameSymbols(layout, frameBits(layout, {})));
      expect(symbols.slice(0, lead.length)).toBe(lead);
      expect(symbols).toHaveLength(lead.length + layout.bits * symbolsPerBit(layout));
    }
  });
});

describe("physical values", () => {
  it("become the nearest raw integer in the field's own unit and reference", () => {
    const field = (id: string, name: string) => layoutOf(id).fields.find((one) => one.name === name)!;
    const absolute = field("pilot-car", "pressure");
    expect(rawFromPhysical(absolute, pressureInUnit(absolute, 230, 101.325))).toBe(133); // 331.325 / 2.5 = 132.5
    const psi = field("ferry-shuttle", "pressure");
    expect(rawFromPhysical(psi, pressureInUnit(psi, 220, 101.325))).toBe(319); // 31.908 psi
    const bar = field("lifeboat-carrier", "pressure");
    expect(rawFromPhysical(bar, pressureInUnit(bar, 400, 101.325))).toBe(100);
    const fahrenheit = field("net-loft-van", "temperature");
    expect(rawFromPhysical(fahrenheit, temperatureInUnit(fahrenheit, 25))).toBe(59); // 77 °F + 40, over 2: 58.5
  });
});
