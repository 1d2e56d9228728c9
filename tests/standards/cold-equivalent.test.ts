import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { describe, expect, it } from "vitest";
import { SEA_LEVEL_KPA, standardAtmosphereKpa } from "../../decoders/units.ts";
import { altitudeTrap } from "../../server/jobs/pressure/altitudeTrap.ts";
import { ambientAir } from "../../server/jobs/pressure/ambientAir.ts";
import { coldEquivalent, type WarmReading } from "../../server/jobs/pressure/coldEquivalent.ts";

const warm = (change: Partial<WarmReading> = {}): WarmReading => ({
  gaugeKpa: 260,
  errorKpa: 7,
  reference: "absolute",
  temperatureC: 45,
  ambientC: 10,
  drivenWithin3h: true,
  air: { kpa: 100, expandedKpa: 1, from: "barometer", doubt: "" },
  ...change,
});

describe("cold-equivalent pressure", () => {
  // Calculated from Gay-Lussac's law on absolute pressure, at sea level.
  it.each([
    [-20, 184.8],
    [0, 207.4],
    [40, 252.6],
    [60, 275.2],
  ])("of 230 kPa at 20 degC is at %d degC %d kPa", (ambientC, kpa) => {
    const cold = coldEquivalent(warm({ gaugeKpa: 230, temperatureC: 20, ambientC, air: ambientAir(null, 0) }));
    expect(cold.kind).toBe("cold-equivalent");
    expect(cold.pressure.gaugeKpa).toBeCloseTo(kpa, 1);
  });

  // Calculated: set at 20 degC, a cold morning alone, without a leak, reaches 25 % and 20 % below the placard.
  it.each([
    [220, -30.2, -20.1],
    [230, -30.9, -20.7],
    [250, -32.2, -21.7],
  ])("of %d kPa is a quarter less at %d degC and a fifth less at %d degC", (gaugeKpa, quarterC, fifthC) => {
    const at = (ambientC: number) =>
      coldEquivalent(warm({ gaugeKpa, temperatureC: 20, ambientC, air: ambientAir(null, 0) })).pressure.gaugeKpa;
    // The temperatures are given to a tenth of a degree, which is 0.06 kPa at most on either side.
    expect(Math.abs(at(quarterC) - 0.75 * gaugeKpa)).toBeLessThan(0.061);
    expect(Math.abs(at(fifthC) - 0.8 * gaugeKpa)).toBeLessThan(0.061);
  });

  // 10 kPa per 6 degC is told and not right: for a car tyre it is 10 kPa per 8 to 9 degC (calculated: 8.85 at 230 kPa).
  it("moves by 10 kPa in 8.85 degC, not in 6", () => {
    const at = (ambientC: number) =>
      coldEquivalent(warm({ gaugeKpa: 230, temperatureC: 20, ambientC, air: ambientAir(null, 0) })).pressure.gaugeKpa;
    expect(at(28.85) - 230).toBeCloseTo(10, 1);
    expect(at(26) - 230).toBeLessThan(7);
  });
});

describe("its uncertainty (JCGM 100:2008, 5.1.2)", () => {
  // By hand. P = 260 + 100 = 360 kPa, T1 = 318.15 K, T2 = 283.15 K, T2/T1 = 0.889989.
  // Standard uncertainties, half of each error: P 3.5 kPa, T1 1.5 K, T2 1 K, air 0.5 kPa.
  // Absolute: P 0.889989 x 3.5 = 3.114962; T1 360 x 0.889989 / 318.15 = 1.007060 K^-1, x 1.5 = 1.510590;
  //   T2 360 / 318.15 = 1.131542, x 1; air 1 x 0.5. Squares 9.702988 + 2.281882 + 1.280387 + 0.25 = 13.515257,
  //   root 3.676310. Cold 360 x 0.889989 - 100 = 220.396.
  // Gauge: air (0.889989 - 1) x 0.5 = -0.055006, square 0.003026: 13.268283, root 3.642565.
  it.each([
    ["absolute", 3.67631],
    ["gauge", 3.642565],
  ] as const)("of an %s reading is as worked by hand", (reference, standardKpa) => {
    const { pressure } = coldEquivalent(warm({ reference }));
    expect(pressure.gaugeKpa).toBeCloseTo(220.396, 3);
    expect(pressure.standardKpa).toBeCloseTo(standardKpa, 4);
    expect(pressure.expandedKpa).toBeCloseTo(2 * standardKpa, 4);
  });

  // JCGM 101:2008: the inputs drawn from normal distributions and put through the law itself, no sensitivities.
  it.each(["absolute", "gauge"] as const)("of an %s reading agrees with 200000 draws", (reference) => {
    const generator = xoroshiro128plus(20081);
    const uniform = () => ((generator.next() >>> 0) + 0.5) / 2 ** 32;
    const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
    const n = 200_000;
    let sum = 0;
    let squares = 0;
    for (let i = 0; i < n; i++) {
      const air = 100 + 0.5 * normal();
      const absolute = reference === "absolute" ? 360 + 3.5 * normal() : 260 + 3.5 * normal() + air;
      const cold = (absolute * (283.15 + normal())) / (318.15 + 1.5 * normal()) - air;
      sum += cold - 220;
      squares += (cold - 220) ** 2;
    }
    const { pressure } = coldEquivalent(warm({ reference }));
    const mean = sum / n;
    // u / sqrt(2n) = 0.006 kPa is the standard error of the deviation, u / sqrt(n) = 0.008 of the mean.
    expect(Math.abs(Math.sqrt(squares / n - mean ** 2) - pressure.standardKpa)).toBeLessThan(0.02);
    expect(Math.abs(220 + mean - pressure.gaugeKpa)).toBeLessThan(0.04);
  });
});

describe("the altitude trap", () => {
  // Calculated: 230 kPa true gauge, a fixed 101.325 kPa taken off.
  it.each([
    [1600, "212.2"],
    [2000, "208.2"],
    [3000, "198.8"],
  ])("at %d m names %s kPa", (altitudeM, shown) => {
    const trap = altitudeTrap(230, standardAtmosphereKpa(altitudeM));
    expect(trap?.words).toContain(`shows ${shown} kPa`);
    expect(trap?.words).toContain("too low");
  });
  it("is not named at sea level", () => {
    expect(altitudeTrap(230, SEA_LEVEL_KPA)).toBeNull();
  });
});
