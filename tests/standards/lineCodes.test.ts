import { describe, expect, it } from "vitest";
import type { LineCodeName } from "../../decoders/layouts/schema.ts";
import { decodeSymbols, type LineCode, lineCodeOf } from "../../decoders/linecode/lineCode.ts";
import { bits, text } from "./bitText.ts";

const N = "10100111001"; // decimal 1337, the message of the figure in the encyclopaedic article on Manchester code
const B1 = "10110001";

// Each row: code, level before, bits, symbols. Read = the rule was read in the document named; the symbols are worked
// out from the rule by hand where the document prints none.
const worked: readonly (readonly [code: LineCodeName, level: 0 | 1, bits: string, symbols: string])[] = [
  // Manchester: article citing Stallings (IEEE 802.3) and Tanenbaum (Thomas), read.
  ["manchester-ieee", 0, N, "01 10 01 10 10 01 01 01 10 10 01"],
  ["manchester-thomas", 0, N, "10 01 10 01 01 10 10 10 01 01 10"],
  ["manchester-ieee", 1, B1, "0110010110101001"],
  ["manchester-thomas", 1, B1, "1001101001010110"],
  ["manchester-ieee", 0, "11001010", "0101101001100110"],
  ["manchester-thomas", 0, "11001010", "1010010110011001"],
  ["manchester-ieee", 0, "00000000", "1010101010101010"],
  ["manchester-thomas", 0, "00000000", "0101010101010101"],
  ["manchester-ieee", 0, "11111111", "0101010101010101"],
  ["manchester-thomas", 0, "11111111", "1010101010101010"],
  // IEEE 802.3 clause 7, preamble and start delimiter 55 55 D5, lowest bit first; from memory, recalculated.
  ["manchester-ieee", 0, "10101010 10101010 10101011", "0110011001100110 0110011001100110 0110011001100101"],
  // IEEE 802.5 differential Manchester: university page and LAN adapter manual p. 2-27, read.
  ["differential-manchester", 0, N, "01 01 10 10 10 01 10 01 01 01 10"],
  ["differential-manchester", 1, N, "10 10 01 01 01 10 01 10 10 10 01"],
  // Biphase mark, IEC 60958-1 and SMPTE 12M: rule from memory, symbols worked out.
  ["biphase-mark", 0, N, "10 11 01 00 11 01 01 01 00 11 01"],
  ["biphase-mark", 0, B1, "10 11 01 01 00 11 00 10"],
  ["biphase-mark", 0, "00000000", "11 00 11 00 11 00 11 00"],
  ["biphase-mark", 0, "11111111", "10 10 10 10 10 10 10 10"],
  // Biphase space (FM0): transponder data sheet EM4223 section 6, example byte B1, read.
  ["biphase-space", 0, B1, "11 01 00 11 01 01 01 00"],
  ["biphase-space", 1, B1, "00 10 11 00 10 10 10 11"],
  // NRZ-M of telemetry: 1 = change. Worked out.
  ["nrzi", 0, N, "11000101110"],
  ["nrzi", 1, N, "00111010001"],
  ["nrz", 0, N, N],
];

it.each(worked)("%s after %d: %s", (name, level, message, symbols) => {
  const row = bits(symbols);
  expect(decodeSymbols(lineCodeOf({ lineCode: name }), row, level)).toEqual({
    bits: bits(message),
    brokenAt: [],
    used: row.length,
  });
});

describe("Manchester", () => {
  it("of the two conventions are each other's signal turned over", () => {
    const symbols = bits("01 10 01 10 10 01 01 01 10 10 01");
    const thomas = decodeSymbols(
      lineCodeOf({ lineCode: "manchester-thomas" }),
      symbols.map((s) => 1 - s),
      0,
    );
    expect(text(thomas.bits)).toBe(N);
  });

  // Worked out: half a bit off, equal neighbours look legal and each change of bit is a violation.
  it("half a bit off is broken once for every change of bit", () => {
    const late = bits("01 10 01 01 10 10 10 01").subarray(1); // 10110001 has four changes
    expect(decodeSymbols(lineCodeOf({ lineCode: "manchester-ieee" }), late, 0).brokenAt).toHaveLength(4);
  });
});

describe("patterns that break a code on purpose", () => {
  // IEEE 802.5 delimiters: start JK0JK000, end JK1JK1IE; J keeps the level for a whole bit, K changes at its start
  // only. Same manual, pp. 2-27 and 2-28, read; symbols worked out from the rule.
  const token = lineCodeOf({ lineCode: "differential-manchester" });
  it.each([0, 1] as const)("802.5 start delimiter after %d: J and K are broken, the zeros are read", (level) => {
    const symbols = bits("00 11 01 11 00 10 10 10").map((symbol) => symbol ^ level);
    const { bits: read, brokenAt } = decodeSymbols(token, symbols, level);
    expect(brokenAt).toEqual([0, 1, 3, 4]);
    expect([2, 5, 6, 7].map((i) => read[i])).toEqual([0, 0, 0, 0]);
  });
  it("802.5 end delimiter: J and K are broken, the ones are read", () => {
    const { bits: read, brokenAt } = decodeSymbols(token, bits("00 11 10 00 11 10 10 01"), 0);
    expect(brokenAt).toEqual([0, 1, 3, 4]);
    expect([2, 5].map((i) => read[i])).toEqual([1, 1]);
  });

  // AES3 / IEC 60958 preambles, each with two violations: audio interface note AN22, table 1, read.
  const audio = lineCodeOf({ lineCode: "biphase-mark" });
  it.each([
    ["X", "11100010"],
    ["Y", "11100100"],
    ["Z", "11101000"],
  ])("AES3 preamble %s breaks biphase mark twice, whichever way up it comes", (_name, symbols) => {
    expect(decodeSymbols(audio, bits(symbols), 0).brokenAt).toHaveLength(2);
    expect(
      decodeSymbols(
        audio,
        bits(symbols).map((symbol) => symbol ^ 1),
        1,
      ).brokenAt,
    ).toHaveLength(2);
  });

  // Time code's sync word, bits 64 to 79, breaks nothing: it is known by its twelve ones. Equipment manual, read (its
  // print has 66-67 for 66-77); symbols worked out.
  it("the sync word of SMPTE 12M time code is legal biphase mark", () => {
    const symbols = bits(`11 00 ${"10 ".repeat(12)} 11 01`);
    expect(decodeSymbols(audio, symbols, 0)).toEqual({ bits: bits("0011111111111101"), brokenAt: [], used: 32 });
  });
});

describe("pulse codes", () => {
  // Generic examples without a source: thirds of a bit, and two distances with a closing pulse.
  it("of two widths", () => {
    const thirds = pulses("100", "110");
    expect(text(decodeSymbols(thirds, bits("110 100 110 110 100"), 0).bits)).toBe("10110");
  });
  it("of two distances, one word being the beginning of the other", () => {
    const gaps = pulses("10", "100");
    expect(decodeSymbols(gaps, bits("100 10 100 100 10 1"), 0)).toEqual({
      bits: bits("10110"),
      brokenAt: [],
      used: 13,
    });
  });
  it("of one place in two are Thomas's Manchester code", () => {
    const { bits: read } = decodeSymbols(pulses("01", "10"), bits("10 01 10 01 01 10 10 10 01 01 10"), 0);
    expect(text(read)).toBe(N);
  });
});

function pulses(zero: string, one: string): LineCode {
  return lineCodeOf({ lineCode: "pulse", pulse: { zero, one } });
}
