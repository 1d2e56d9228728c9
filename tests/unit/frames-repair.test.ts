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
  return receivedSo(layout, 12, -0.3, turned);
}

function receivedSo(layout: Layout, sure: number, wrong: number, turned: readonly number[]) {
  const bits = frameBits(layout, { sensor: 0xabcden });
  const symbols = frameSymbols(layout, bits).subarray(starts(layout));
  const evidence = Float64Array.from(symbols, (symbol, j) => (symbol ? 1 : -1) * (turned.includes(j) ? wrong : sure));
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

  it("that other places may explain nearly as well is told as a guess, and stays as it was received", () => {
    const { bits, reading } = receivedSo(layoutOf("net-loft-van"), 5, -3, [30]);
    expect(reading.repairedBits).toBe(0);
    expect(reading.failedChecks).toEqual([0]);
    const { turnedAt, falseAcceptProbability } = reading.guess!;
    expect(reading.bits.map((bit, k) => (turnedAt.includes(k) ? 1 - bit : bit))).toEqual(bits);
    expect(falseAcceptProbability).toBeGreaterThan(VERIFIED_AT);
    expect(falseAcceptProbability).toBeLessThan(0.5);
  });

  it("and are all as sure as each other stays as it was received", () => {
    const { reading } = receivedSo(layoutOf("ice-lorry"), 12, -12, [30]);
    expect(reading.repairedBits).toBe(0);
    expect(reading.guess).toBeUndefined();
    expect(reading.failedChecks).toEqual([0]);
  });

  it("outside of the CRC is not repaired to suit another check", () => {
    const ice = layoutOf("ice-lorry");
    const parity = { kind: "parity", parity: "even", covers: [[80, 8]], at: 88 } as const;
    const layout: Layout = { ...ice, bits: 96, checks: [...ice.checks, { ...parity, covers: [[80, 8]] }] };
    expect(received(layout, 40).reading).toMatchObject({ repairedBits: 1, failedChecks: [] });
    expect(received(layout, 83).reading).toMatchObject({ repairedBits: 0, failedChecks: [1], guess: undefined });
    expect(received(layout, 40, 83).reading).toMatchObject({ repairedBits: 0, failedChecks: [0, 1] });
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
