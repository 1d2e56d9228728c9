import { describe, expect, it } from "vitest";
import { gaugeRatio } from "../../server/bench/gaugeRatio.ts";
import type { Lot } from "../../server/bench/lot.ts";
import { usualLot } from "../support/said.ts";

const { gauge, limits } = usualLot();
const ratioOf = (change: Partial<Lot>) => gaugeRatio(usualLot(change));

describe("whether a gauge is good enough for a limit", () => {
  it("is so from four to one on, and says what a better one would need", () => {
    // U of a certificate with k = 2 is taken to 95 %, by 1.96 / 2.
    const good = ratioOf({ gauge: { ...gauge, errorKpa: 1.25 } })!;
    expect(good.ratio).toBeCloseTo(5 / (1.25 * 0.98), 3);
    expect(good).toMatchObject({ enough: true, neededExpandedKpa: 1.25 });
    const coarse = ratioOf({ gauge: { ...gauge, errorKpa: 1.5 } })!;
    expect(coarse).toMatchObject({ enough: false });
    expect(coarse.says).toContain("Take a gauge of U = 1.25 kPa or better");
  });

  it("takes a limit of error as bounds, and what the gauge shows as steps", () => {
    const bounds = ratioOf({ gauge: { ...gauge, stated: "limit of error", errorKpa: 1 } })!;
    expect(bounds.gaugeExpandedKpa).toBeCloseTo(1.96 / Math.sqrt(3), 3);
    const steps = ratioOf({ gauge: { ...gauge, errorKpa: 0, resolutionKpa: 1 } })!;
    expect(steps.gaugeExpandedKpa).toBeCloseTo(1.96 / Math.sqrt(12), 3);
  });

  it("goes by the narrowest of the limits at the set points", () => {
    const percent = { ...limits, pressureKpa: null, pressurePercent: 5 };
    expect(ratioOf({ limits: percent })!.neededExpandedKpa).toBeCloseTo(5 / 4, 9);
    expect(ratioOf({ limits: { ...percent, pressureKpa: 8 } })!.neededExpandedKpa).toBeCloseTo(8 / 4, 9);
  });

  it("tells how far off a specimen may be and still be called within", () => {
    expect(ratioOf({})!.widestWithinKpa).toBeCloseTo(5 - 0.98, 3);
    expect(ratioOf({ rule: { kind: "simple" } })!.widestWithinKpa).toBe(5);
    const none = ratioOf({ gauge: { ...gauge, errorKpa: 8 } })!;
    expect(none.widestWithinKpa).toBe(0);
    expect(none.says).toContain("no specimen at all could be called within");
  });

  it("is not told before limit and gauge are entered", () => {
    expect(ratioOf({ gauge: { ...gauge, errorKpa: null } })).toBeUndefined();
    expect(ratioOf({ limits: { ...limits, pressureKpa: null } })).toBeUndefined();
    expect(ratioOf({ gauge: { ...gauge, errorKpa: 0 } })).toBeUndefined();
    expect(ratioOf({ limits: { ...limits, pressureKpa: null, pressurePercent: 5 }, setPoints: [] })).toBeUndefined();
  });
});
