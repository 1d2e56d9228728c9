import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { claimsOf, countWrong, reliabilityOf } from "../support/calibration.ts";

// Fixed seeds and wide bounds; the benchmark measures it closely.

const layoutOf = (id: string) => builtinLayouts.find((layout) => layout.id === id)!;

describe("confidences near 5 % of wrong decisions", () => {
  it.each([
    ["ferry-shuttle", 7, 5],
    ["crane-tug", 8, 7],
    ["lifeboat-carrier", 7, 5],
  ])("of %s are true, by energy at %i dB and with the phase at %i dB", (id, plainDb, trackedDb) => {
    const plain = reliabilityOf(claimsOf(layoutOf(id), plainDb, 25, 1).plain);
    const tracked = reliabilityOf(claimsOf(layoutOf(id), trackedDb, 25, 1).tracked);
    for (const one of [plain, tracked]) {
      expect(one.decisions).toBeGreaterThan(700);
      expect(one.wrongShare).toBeGreaterThan(0.02);
      expect(one.wrongShare).toBeLessThan(0.08);
      expect(one.slope).toBeGreaterThan(0.8);
      expect(one.slope).toBeLessThan(1.25);
      expect(one.expectedError).toBeLessThan(0.03);
    }
  });

  it("that are half as sure again as they may be would be seen", () => {
    const { plain } = claimsOf(layoutOf("ferry-shuttle"), 7, 25, 1);
    expect(reliabilityOf(plain.map((claim) => 1.5 * claim)).slope).toBeLessThan(0.8);
  });
});

it.each(["crane-tug", "market-bike"])("as many frames of %s are wrong as was claimed", (id) => {
  const decades = [0.8, 1.2, 1.7].flatMap((signal, i) => countWrong(layoutOf(id), signal, 600, 1, 40 + i));
  const expected = decades.reduce((sum, one) => sum + one.expected, 0);
  const wrong = decades.reduce((sum, one) => sum + one.wrong, 0);
  expect(expected).toBeGreaterThan(10);
  // Four standard deviations of a count.
  expect(Math.abs(wrong - expected)).toBeLessThan(4 * Math.sqrt(expected));
});
