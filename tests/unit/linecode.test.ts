import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Layout, LINE_CODES } from "../../decoders/layouts/schema.ts";
import { whiteningSequence } from "../../decoders/layouts/whitening.ts";
import { decodeSymbols, lineCodeOf } from "../../decoders/linecode/lineCode.ts";
import { encodeLine } from "../../seeds/encode/line-code.ts";
import { whiteningBits } from "../../seeds/encode/whitening.ts";

type Coded = Pick<Layout, "lineCode" | "pulse">;

const word = fc.array(fc.constantFrom("0", "1"), { minLength: 1, maxLength: 6 }).map((symbols) => symbols.join(""));
/** Pulses whose words begin apart, or where one begins like the other: anything that a layout may have. */
const anyPulse = fc
  .record({ zero: word, one: word })
  .filter(({ zero, one }) => zero + one !== one + zero)
  .map((pulse): Coded => ({ lineCode: "pulse", pulse }));
const anyFixed = fc
  .constantFrom(...LINE_CODES.filter((name) => name !== "pulse"))
  .map((lineCode): Coded => ({ lineCode }));
const anyCode = fc.oneof(anyFixed, anyPulse);
const beginApart = ({ pulse }: Coded) =>
  !pulse || !(pulse.zero.startsWith(pulse.one) || pulse.one.startsWith(pulse.zero));
const anyLevel = fc.constantFrom(0 as const, 1 as const);
const anyBits = (maxLength: number) => fc.uint8Array({ maxLength, max: 1 });

describe("any line code", () => {
  it("gives back the bits that the modulator coded", () => {
    fc.assert(
      fc.property(anyCode, anyLevel, anyBits(80), (coded, level, bits) => {
        const symbols = encodeLine(coded, bits, level);
        const wanted = { bits, brokenAt: [], used: symbols.length };
        expect(decodeSymbols(lineCodeOf(coded), symbols, level, bits.length)).toEqual(wanted);
        expect(decodeSymbols(lineCodeOf(coded), symbols, level)).toEqual(wanted);
      }),
      { numRuns: 1000 },
    );
  });

  // Where one word is the beginning of the other, only what follows can tell which of them the last bit was.
  it("takes the bits asked for and leaves the symbols after them, if its words begin apart", () => {
    fc.assert(
      fc.property(anyCode.filter(beginApart), anyLevel, anyBits(40), anyBits(20), (coded, level, bits, after) => {
        const symbols = encodeLine(coded, bits, level);
        const {
          bits: got,
          brokenAt,
          used,
        } = decodeSymbols(lineCodeOf(coded), Uint8Array.of(...symbols, ...after), level, bits.length);
        expect({ got, brokenAt, used }).toEqual({ got: bits, brokenAt: [], used: symbols.length });
      }),
    );
  });

  it("answers to any symbols, and what it reads without a break is what they code", () => {
    fc.assert(
      fc.property(
        anyCode,
        anyLevel,
        anyBits(64),
        fc.option(fc.nat(40), { nil: undefined }),
        (coded, level, symbols, n) => {
          const { bits, brokenAt, used } = decodeSymbols(lineCodeOf(coded), symbols, level, n);
          expect(bits.length).toBeLessThanOrEqual(n ?? symbols.length);
          expect(used).toBeLessThanOrEqual(symbols.length);
          expect(brokenAt).toEqual(
            [...new Set(brokenAt)].filter((i) => i >= 0 && i < bits.length).sort((a, b) => a - b),
          );
          if (brokenAt.length === 0) expect(encodeLine(coded, bits, level)).toEqual(symbols.subarray(0, used));
        },
      ),
      { numRuns: 1000 },
    );
  });

  it("tells a symbol that breaks it, unless the symbols still are words of the code", () => {
    fc.assert(
      fc.property(anyFixed, anyLevel, anyBits(40), fc.nat(), (coded, level, bits, n) => {
        const symbols = encodeLine(coded, bits, level);
        if (symbols.length === 0) return;
        symbols[n % symbols.length]! ^= 1;
        const { bits: got, brokenAt } = decodeSymbols(lineCodeOf(coded), symbols, level);
        const wrong = [...bits.keys()].filter((i) => got[i] !== bits[i]);
        // One wrong symbol touches its own bit and the next one, which starts from it, and no others.
        const touched = [...new Set([...wrong, ...brokenAt])];
        expect(touched.length).toBeGreaterThan(0);
        expect(Math.max(...touched) - Math.min(...touched)).toBeLessThanOrEqual(1);
      }),
    );
  });
});

describe.each(LINE_CODES.filter((name) => name !== "pulse"))("%s", (name) => {
  it("has two words of one length for either level", () => {
    for (const { zero, one } of lineCodeOf({ lineCode: name }).words) {
      expect(zero).not.toBe(one);
      expect(zero).toHaveLength(one.length);
      expect(zero + one).toMatch(/^[01]+$/);
    }
  });
});

describe("what is no word of the code", () => {
  const ieee = lineCodeOf({ lineCode: "manchester-ieee" });
  const at = (symbols: string) => decodeSymbols(ieee, Uint8Array.from(symbols, Number), 0);
  it("goes to the word that ends on the symbol received", () => {
    expect(at("01" + "11" + "10")).toEqual({ bits: Uint8Array.of(1, 1, 0), brokenAt: [1], used: 6 });
    expect(at("01" + "00" + "10")).toEqual({ bits: Uint8Array.of(1, 0, 0), brokenAt: [1], used: 6 });
  });
  it("goes to the nearest of longer words", () => {
    const widths = lineCodeOf({ lineCode: "pulse", pulse: { zero: "1000", one: "1110" } });
    const { bits, brokenAt } = decodeSymbols(widths, Uint8Array.from("1010" + "0110" + "0000" + "1111", Number), 0);
    expect(brokenAt).toEqual([0, 1, 2, 3]);
    expect([...bits.subarray(1)]).toEqual([1, 0, 1]);
  });
  it("does not drag the bits after it along where words differ in length", () => {
    const gaps = lineCodeOf({ lineCode: "pulse", pulse: { zero: "10", one: "100" } });
    const symbols = Uint8Array.from("100" + "10" + "110" + "100" + "10", Number); // the second symbol of 100 is wrong
    expect(decodeSymbols(gaps, symbols, 0, 5)).toEqual({ bits: Uint8Array.of(1, 0, 1, 1, 0), brokenAt: [2], used: 13 });
  });
});

it("takes less than a word for nothing, and asks for pulses where the layout names them", () => {
  expect(decodeSymbols(lineCodeOf({ lineCode: "biphase-mark" }), Uint8Array.of(1), 0)).toEqual({
    bits: new Uint8Array(0),
    brokenAt: [],
    used: 0,
  });
  expect(() => lineCodeOf({ lineCode: "pulse" })).toThrow(RangeError);
});

it("whitening is the modulator's for any polynomial, seed and length", () => {
  const anyWhitening = fc.integer({ min: 1, max: 40 }).chain((degree) => {
    const top = 1n << BigInt(degree);
    return fc.record({
      poly: fc.bigInt({ min: top, max: 2n * top - 1n }).map((poly) => `0x${poly.toString(16)}`),
      seed: fc.bigInt({ min: 0n, max: top - 1n }).map((seed) => `0x${seed.toString(16)}`),
      reversedBytes: fc.boolean(),
    });
  });
  fc.assert(
    fc.property(anyWhitening, fc.nat(200), (whitening, length) => {
      expect(whiteningSequence(whitening, length)).toEqual(whiteningBits(whitening, length));
    }),
  );
});
