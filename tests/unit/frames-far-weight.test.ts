import { describe, expect, it } from "vitest";
import { farWeight } from "../../decoders/frames/farWeight.ts";
import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { likeliestFrames } from "../../decoders/frames/likeliest.ts";
import { LINE_CODES } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { chance, uniform } from "../../seeds/noise.ts";

// Frames of ten bits: all of them can be written out. Bits 4 and 5 are a constant, bit 9 is answered for by nothing.
const BITS = 10;
const CONSTANT = [4, 5];
const FREE = 9;

function planOf(lineCode: (typeof LINE_CODES)[number]) {
  const parsed = parseLayout({
    id: "tiny",
    title: "Ten bits",
    origin: "invented",
    carrierHz: [433_920_000],
    modulation: "ask",
    symbolRate: 10_000,
    lineCode,
    preamble: { symbols: "10", repeat: 4 },
    sync: { symbols: "11001" },
    bits: BITS,
    fields: [
      { name: "sensor", at: 0, bits: 4, type: "identity" },
      { name: "family", at: 4, bits: 2, type: "constant", equals: 1 },
    ],
    checks: [
      {
        kind: "crc",
        width: 3,
        poly: "0x3",
        init: "0x5",
        refin: false,
        refout: false,
        xorout: "0x2",
        covers: [[0, 6]],
        at: 6,
      },
    ],
  });
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
  return framePlan(parsed.layout);
}

describe.each(LINE_CODES.filter((code) => code !== "pulse"))("in %s", (lineCode) => {
  const plan = planOf(lineCode);

  it.each([1, 2, 3])("adds up every frame that differs in %i or more bits", (atLeast) => {
    const random = chance(11 + atLeast);
    const evidence = Float64Array.from({ length: plan.mostSymbols }, () => 6 * (uniform(random) - 0.5));
    const accepted = likeliestFrames(evidence, plan.words, plan.level, BITS)[0]!;
    const own = weightOf(accepted.bits);
    let expected = 0;
    for (let word = 0; word < 2 ** BITS; word++) {
      const bits = Uint8Array.from({ length: BITS }, (_, i) => (word >> i) & 1);
      const differ = [...bits.keys()].filter((i) => bits[i] !== accepted.bits[i]);
      if (differ.length < atLeast || differ.some((i) => CONSTANT.includes(i) || i === FREE)) continue;
      expected += weightOf(bits) / own;
    }
    expect(farWeight(plan, evidence, accepted, atLeast) / expected).toBeCloseTo(1, 9);

    /** Of the symbols that answer for a check or a constant, in the middle between P(right) and P(wrong). */
    function weightOf(onAir: Uint8Array): number {
      let level: number = plan.level;
      let at = 0;
      let log = 0;
      onAir.forEach((bit, i) => {
        const words = plan.code.words[level === 1 ? 1 : 0];
        for (const symbol of bit ? words.one : words.zero) {
          level = Number(symbol);
          if (i !== FREE) log += (level ? 1 : -1) * (evidence[at]! / 2);
          at++;
        }
      });
      return Math.exp(log);
    }
  });
});

it("knows how many wrong bits the checks may miss at the least", () => {
  // x³ + x + 1 is primitive: two wrong bits within 7 are always seen, and bits 0 and 7 of the nine lie 7 apart.
  expect(planOf("nrz").fewestMissed).toBe(2);
});
