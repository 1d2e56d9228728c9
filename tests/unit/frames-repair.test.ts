import { describe, expect, it } from "vitest";
import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { VERIFIED_AT } from "../../decoders/frames/odds.ts";
import { readFrame } from "../../decoders/frames/readFrame.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { chance, uniform } from "../../seeds/noise.ts";

const layoutOf = (id: string) => builtinLayouts.find((layout) => layout.id === id)!;
const starts = (layout: Layout) => layout.preamble.symbols.length * layout.preamble.repeat + layout.sync.symbols.length;

/** Sure symbols of a frame, but for those that are weakly the other way. */
function received(layout: Layout, ...turned: number[]) {
  const bits = frameBits(layout, { sensor: 0xabcden });
  const symbols = frameSymbols(layout, bits).subarray(starts(layout));
  const evidence = Float64Array.from(symbols, (symbol, j) => (symbol ? 1 : -1) * (turned.includes(j) ? -0.3 : 12));
  return { bits, evidence, reading: readFrame(framePlan(layout), evidence, symbols.length, 0) };
}

describe("a frame with symbols that are weakly wrong", () => {
  it.each([
    ["ferry-shuttle", [20, 21]],
    ["ferry-shuttle", [20, 21, 60, 61]],
    ["ice-lorry", [33]],
    ["ice-lorry", [33, 70]],
    ["net-loft-van", [30]],
  ] as const)("of %s, symbols %j, is repaired and says so", (id, turned) => {
    const { bits, reading } = received(layoutOf(id), ...turned);
    expect([...reading.bits]).toEqual([...bits]);
    expect(reading.repairedBits).toBeGreaterThan(0);
    expect(reading.falseAcceptProbability).toBeLessThanOrEqual(VERIFIED_AT);
    expect(reading.failedChecks).toEqual([]);
  });

  it("in three places, or in two under a narrower check, stays as it was received", () => {
    for (const { reading } of [
      received(layoutOf("ice-lorry"), 20, 41, 70),
      received(layoutOf("net-loft-van"), 20, 40),
    ]) {
      expect(reading.repairedBits).toBe(0);
      expect(reading.falseAcceptProbability).toBeUndefined();
      expect(reading.failedChecks).toEqual([0]);
    }
  });

  it.each(["crane-tug", "lifeboat-carrier", "market-bike"])(
    "is not repaired by the sum or exclusive-or of %s",
    (id) => {
      const layout = layoutOf(id);
      for (let j = 0; j < 40; j += 2) {
        const { bits, reading } = received(layout, j, j + 1);
        expect(reading.repairedBits).toBe(0);
        if (reading.falseAcceptProbability !== undefined) expect([...reading.bits]).toEqual([...bits]);
      }
    },
  );
});

it("noise is never repaired into a verified frame", () => {
  const random = chance(21);
  let repairs = 0;
  for (const layout of builtinLayouts) {
    const plan = framePlan(layout);
    for (let n = 0; n < 250; n++) {
      // As sure as the symbols of a burst near the limit.
      const evidence = Float64Array.from({ length: plan.mostSymbols }, () => 6 * (uniform(random) - 0.5));
      const { repairedBits, falseAcceptProbability } = readFrame(plan, evidence, plan.mostSymbols, 0);
      if (repairedBits > 0) repairs++;
      if (falseAcceptProbability !== undefined) expect(falseAcceptProbability).toBeGreaterThan(VERIFIED_AT);
    }
  }
  expect(repairs).toBe(0);
});
