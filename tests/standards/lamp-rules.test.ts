import { describe, expect, it } from "vitest";
import { type Placard, type TyreType, unLampRule, usLampRule } from "../../server/jobs/pressure/lampRules.ts";
import { VISIT_MEANINGS } from "../../web/model/intake.ts";

const car = { kind: "motor vehicle", dualWheelsOnAnAxle: false, ratedMassKg: null } as const;
const tickOf = (placard: Placard, tyreType: TyreType | null) => {
  const rule = usLampRule(placard, tyreType, car);
  if (rule.kind !== "ticks" || rule.ticks[0] === undefined) throw new Error("no tick");
  return rule.ticks[0];
};

describe("the US rule (49 CFR 571.138, S4.2(a), read)", () => {
  // 25 % below the cold placard, calculated; the kPa column of a psi placard by the exact definition of the psi.
  it.each([
    [200, "kPa", 150, 150],
    [220, "kPa", 165, 165],
    [230, "kPa", 172.5, 172.5],
    [240, "kPa", 180, 180],
    [250, "kPa", 187.5, 187.5],
    [30, "psi", 22.5, 155.13],
    [32, "psi", 24, 165.47],
    [33, "psi", 24.75, 170.65],
    [35, "psi", 26.25, 180.99],
    [36, "psi", 27, 186.16],
    [44, "psi", 33, 227.53],
    [2.3, "bar", 1.725, 172.5],
  ] as const)("a placard of %d %s gives %d, %d kPa", (value, unit, tick, kpa) => {
    const told = tickOf({ value, unit }, "P-metric, standard load");
    expect(told).toMatchObject({ value: tick, unit, status: "read", base: "cold" });
    expect(told.kpa).toBeCloseTo(kpa, 2);
  });

  // Table 1 of the standard, from memory; 20 psi for P-metric standard load read in a trade body's page.
  it.each([
    ["P-metric, standard load", 140, 20],
    ["P-metric, extra load", 160, 23],
    ["load range C", 200, 29],
    ["load range D", 260, 38],
    ["load range E", 320, 46],
  ] as const)("%s has a floor of %d kPa and of %d psi", (type, kpa, psi) => {
    expect(tickOf({ value: 100, unit: "kPa" }, type)).toMatchObject({ value: kpa, kpa, status: "from memory" });
    expect(tickOf({ value: 15, unit: "psi" }, type)).toMatchObject({ value: psi, unit: "psi", status: "from memory" });
    expect(tickOf({ value: 1, unit: "bar" }, type)).toMatchObject({ value: kpa / 100, unit: "bar" });
  });

  it("a placard of 180 kPa gives 140, not 135: the table wins; 26 psi gives 20 psi, which is 137.9 kPa", () => {
    expect(tickOf({ value: 180, unit: "kPa" }, "P-metric, standard load").value).toBe(140);
    expect(tickOf({ value: 26, unit: "psi" }, "P-metric, standard load").kpa).toBeCloseTo(137.9, 1);
    const unknown = tickOf({ value: 180, unit: "kPa" }, null);
    expect(unknown.value).toBe(135);
    expect(unknown.words).toContain("tyre type is not on the card");
  });

  // S2, read: up to 4536 kg, not dual wheels on an axle; trailers and motorcycles are not among its vehicles.
  it("is not for dual wheels, heavier vehicles, trailers or motorcycles", () => {
    const placard = { value: 230, unit: "kPa" } as const;
    const kind = (change: object) => usLampRule(placard, null, { ...car, ...change }).kind;
    expect(kind({ dualWheelsOnAnAxle: true })).toBe("no rule");
    expect(kind({ ratedMassKg: 4536.1 })).toBe("no rule");
    expect(kind({ ratedMassKg: 4536 })).toBe("ticks");
    expect(kind({ kind: "trailer" })).toBe("no rule");
    expect(kind({ kind: "motorcycle" })).toBe("no rule");
    expect(() => usLampRule({ value: 0, unit: "psi" }, null, car)).toThrow(RangeError);
  });
});

describe("the UN rule (R141, from memory)", () => {
  // max(0.8 warm, 150) in the puncture test, calculated.
  it.each([
    [280, 224],
    [260, 208],
    [250, 200],
    [230, 184],
    [220, 176],
    [200, 160],
    [187.5, 150],
    [180, 150],
  ])("a warm pressure of %d kPa gives %d in the puncture test", (warm, tick) => {
    const rule = unLampRule(warm, car);
    if (rule.kind !== "ticks") throw new Error("no ticks");
    expect(rule.ticks[0]).toMatchObject({ value: tick, base: "warm", status: "from memory" });
    expect(rule.ticks[1]?.value).toBeCloseTo(0.8 * warm, 9);
  });

  it("cannot be told on a standing car, and has no figure for trailers and dual wheels", () => {
    expect(unLampRule(null, car).kind).toBe("cannot be told");
    expect(unLampRule(250, { ...car, kind: "trailer" }).kind).toBe("no rule");
    expect(unLampRule(250, { ...car, dualWheelsOnAnAxle: true }).kind).toBe("no rule");
  });
});

// CK: 49 CFR 571.138, S4.4(c)(2), read: the combined lamp flashes 60 to 90 s from detection, then is steady, and does so
// at every ignition On until the fault is cured.
it("a lamp that flashes first is told as a fault, with the time of the rule", () => {
  expect(VISIT_MEANINGS["lamp flashing"]).toMatch(/flashes for about a minute \(60 to 90 s\) and then stays lit/);
  expect(VISIT_MEANINGS["lamp flashing"]).toMatch(/again at every ignition on/);
  expect(VISIT_MEANINGS["lamp steady"]).toMatch(/low pressure/);
});
