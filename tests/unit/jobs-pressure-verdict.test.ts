import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { heardFinding } from "../../server/jobs/finding.ts";
import { ambientAir } from "../../server/jobs/pressure/ambientAir.ts";
import { coldEquivalent } from "../../server/jobs/pressure/coldEquivalent.ts";
import { compareWithHandGauge } from "../../server/jobs/pressure/handGauge.ts";
import { type Circumstances, judgePressure } from "../../server/jobs/pressure/judge.ts";
import { sideOf } from "../../server/jobs/pressure/sideOf.ts";
import { pressureVerdict, shownPressure } from "../../server/jobs/pressure/verdict.ts";
import type { Reading } from "../../server/jobs/reading.ts";
import { telegramRecord } from "../support/store-data.ts";

const air = ambientAir(100, null);
const measured = (gaugeKpa: number, expandedKpa: number, kind: "measured cold" | "as read" = "measured cold") => {
  const pressure = { gaugeKpa, expandedKpa, standardKpa: expandedKpa / 2, budget: [] };
  return pressureVerdict(kind === "as read" ? { kind, pressure } : { kind, pressure }, 230);
};
const reading = (change: Partial<Reading> = {}): Reading => ({
  gaugeKpa: 230,
  ambientKpa: 100,
  ambientAssumed: false,
  temperatureC: 24,
  battery: "good",
  pressurePlausible: true,
  temperaturePlausible: true,
  ...change,
});
const visit = (change: Partial<Circumstances> = {}): Circumstances => ({
  ambientC: null,
  drivenWithin3h: null,
  air,
  handGauge: null,
  ...change,
});

describe("a limit", () => {
  it("cannot be told of 171 kPa ± 7 against 172.5, a quarter below 230", () => {
    expect(sideOf(171, 7, 230, 25)).toBe("cannot tell");
    expect(sideOf(165.5, 7, 230, 25)).toBe("below");
    expect(sideOf(179.6, 7, 230, 25)).toBe("above");
  });
});

describe("the verdict", () => {
  // Against 230 kPa: stop at or below 184, look at or below 207, look at or above 276.
  it.each([
    [177, 7, "stop"],
    [177.1, 7, "cannot tell"],
    [184, 0, "stop"],
    [191, 7, "cannot tell"],
    [191.1, 7, "look here"],
    [200, 7, "look here"],
    [207, 7, "cannot tell"],
    [214.1, 7, "as expected"],
    [268.9, 7, "as expected"],
    [276, 7, "cannot tell"],
    [283, 7, "look here"],
  ])("of %d ± %d kPa is %s", (kpa, expanded, verdict) => {
    expect(measured(kpa, expanded).verdict).toBe(verdict);
  });

  it("that may be a stop asks to look before inflating, and names a better gauge on a cold tyre", () => {
    const { words, strength, recheckCold } = measured(184, 7);
    expect(words).toContain(
      "184 kPa (20 % below placard). Driven soft? Look before inflating. Check with a better gauge.",
    );
    expect([strength, recheckCold]).toEqual(["look here", false]);
    expect(measured(184, 7, "as read").words).toContain("Recheck cold.");
  });

  it("never asks to bleed a hot tyre, and lets a cold one be set", () => {
    expect(measured(290, 0, "as read")).toMatchObject({ recheckCold: true });
    expect(measured(290, 0, "as read").words).toContain("Never bleed a hot tyre");
    expect(measured(290, 7).words).toBe("26 % above placard. It is cold now: set it by the placard.");
  });

  it("of less pressure is never a better one", () => {
    const rank = { stop: 0, "cannot tell": 1, "look here": 1, "as expected": 2 };
    const kpa = fc.double({ min: 0, max: 260, noNaN: true });
    fc.assert(
      fc.property(kpa, kpa, fc.double({ min: 0, max: 15, noNaN: true }), (a, b, u) => {
        const [low, high] = [measured(Math.min(a, b), u), measured(Math.max(a, b), u)];
        expect(rank[low.verdict]).toBeLessThanOrEqual(rank[high.verdict]);
      }),
    );
  });

  it("is what the shown figures would give", () => {
    expect(shownPressure({ gaugeKpa: 191.02, expandedKpa: 7.01 }, 230)).toEqual({ value: "191.02", expanded: "7.01" });
    const near = fc
      .constantFrom(184, 207, 276)
      .chain((limit) => fc.double({ min: limit - 9, max: limit + 9, noNaN: true }));
    fc.assert(
      fc.property(near, fc.double({ min: 3, max: 9, noNaN: true }), (gaugeKpa, expandedKpa) => {
        const shown = shownPressure({ gaugeKpa, expandedKpa }, 230);
        // Nine decimals are the most that is ever shown.
        fc.pre(shown.value.length < 12);
        expect(measured(Number(shown.value), Number(shown.expanded)).verdict).toBe(
          measured(gaugeKpa, expandedKpa).verdict,
        );
      }),
    );
  });
});

describe("one wheel judged", () => {
  it("asks for the placard where nobody entered it", () => {
    expect(judgePressure(reading(), visit(), null)?.verdict.words).toBe("Enter the placard to judge this pressure.");
  });

  it("of a warm tyre without the outside temperature has no cold figure, and only a stop is sure", () => {
    const warm = judgePressure(reading(), visit({ drivenWithin3h: true }), 230);
    expect(warm?.cold.kind).toBe("cannot be told");
    expect(warm?.verdict).toMatchObject({ verdict: "cannot tell", recheckCold: true });
    expect(warm?.verdict.words).toContain("the temperature outside is not on the card");
    const soft = judgePressure(reading({ gaugeKpa: 150 }), visit({ drivenWithin3h: true }), 230);
    expect(soft?.verdict.verdict).toBe("stop");
    const mute = judgePressure(reading({ temperatureC: null }), visit({ drivenWithin3h: true, ambientC: 10 }), 230);
    expect(mute?.verdict.words).toContain("recheck cold");
  });

  it("that stood three hours is cold, whatever its temperature", () => {
    const judged = judgePressure(reading({ temperatureC: null }), visit({ drivenWithin3h: false }), 230);
    expect(judged?.cold).toMatchObject({ kind: "measured cold", pressure: { gaugeKpa: 230 } });
    expect(judged?.verdict.verdict).toBe("as expected");
  });

  it("goes by the hand gauge, also where no sensor was heard", () => {
    const handGauge = { gaugeKpa: 170, errorKpa: 3 };
    const judged = judgePressure(reading(), visit({ handGauge, drivenWithin3h: false }), 230);
    expect(judged).toMatchObject({ of: "hand gauge", verdict: { verdict: "stop" }, comparison: { agrees: false } });
    expect(judgePressure(null, visit({ handGauge }), 230)?.verdict.verdict).toBe("stop");
    expect(judgePressure(null, visit(), 230)).toBeNull();
  });

  it("counts an absolute reading above the air of the card", () => {
    const high = visit({ air: ambientAir(null, 1600), drivenWithin3h: false });
    const judged = judgePressure(reading({ gaugeKpa: 212.199, ambientKpa: 101.325 }), high, 230);
    expect(judged?.cold.pressure.gaugeKpa).toBeCloseTo(230, 2);
    expect(judged?.trap?.words).toContain("shows 212.2 kPa");
  });
});

// Allowing the sum of both errors: common practice, no source.
it("sensor and hand gauge may be 14 kPa apart, not more", () => {
  const hand = { gaugeKpa: 230, errorKpa: 7 };
  expect(compareWithHandGauge({ gaugeKpa: 216, errorKpa: 7 }, hand, false).agrees).toBe(true);
  expect(compareWithHandGauge({ gaugeKpa: 215.9, errorKpa: 7 }, hand, false).agrees).toBe(false);
});

it("a barometer that does not fit the altitude is asked about", () => {
  expect(ambientAir(101.3, 1600).doubt).toContain("weather report");
  expect(ambientAir(83.5, 1600).doubt).toBe("");
});

it("cooling lowers and warming raises the cold figure", () => {
  const celsius = fc.integer({ min: -40, max: 90 });
  fc.assert(
    fc.property(celsius, celsius, (temperatureC, ambientC) => {
      const all = { gaugeKpa: 230, errorKpa: 7, reference: "gauge", drivenWithin3h: true, air } as const;
      const change = coldEquivalent({ ...all, temperatureC, ambientC }).pressure.gaugeKpa - 230;
      expect(Math.abs(change) < 1e-9 ? 0 : Math.sign(change)).toBe(Math.sign(ambientC - temperatureC));
    }),
  );
});

describe("a finding with answers on the card", () => {
  const finding = (change: Partial<Circumstances>, kpa = 230, record = reading({ gaugeKpa: kpa })) =>
    heardFinding(record, 230, telegramRecord({}), [], visit(change));

  it("tells the cold-equivalent with its uncertainty", () => {
    // (260 + 100) x 283.15 / 318.15 - 100 = 220.4 kPa.
    const warm = reading({ gaugeKpa: 260, temperatureC: 45 });
    const { strength, finding: words } = finding({ ambientC: 10, drivenWithin3h: true }, 260, warm);
    expect(strength).toBe("as expected");
    expect(words).toMatch(/^As placard\. Cold-equivalent 220\.4 ± 7\.\d kPa at 10 °C\.$/);
  });

  it("goes by the hand gauge, and says where the sensor disagrees", () => {
    const { strength, finding: words } = finding({ handGauge: { gaugeKpa: 200, errorKpa: 3 }, drivenWithin3h: false });
    expect(strength).toBe("look here");
    expect(words).toContain("30.0 kPa higher than the hand gauge");
  });

  it("without any is as it was", () => {
    expect(finding({}, 184)).toEqual(heardFinding(reading({ gaugeKpa: 184 }), 230, telegramRecord({}), []));
    expect(finding({}, 184).finding).toBe(
      "20 % below placard. Driven soft? Look before inflating. Counted above 100.0 kPa outside.",
    );
  });
});
