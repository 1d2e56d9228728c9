import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { identityGroups, identityTyped } from "../../web/model/identity.ts";
import {
  counted,
  figure,
  inLine,
  listed,
  pressureShown,
  signed,
  temperatureShown,
} from "../../web/model/quantities.ts";
import { DEFAULT_SETTINGS, settingsFrom, themeShown } from "../../web/model/settings.ts";
import { agoShown, timeShown } from "../../web/model/times.ts";
import { numberTyped, pressureInBox, pressureTyped } from "../../web/model/typed.ts";

describe("a pressure", () => {
  // 230 kPa: NIST SP 811, appendix B.8: 1 psi = 6.894757 kPa; 1 bar = 100 kPa.
  it.each([
    ["kPa", "230\u202fkPa"],
    ["psi", "33.4\u202fpsi"],
    ["bar", "2.30\u202fbar"],
  ] as const)("is shown in %s with no more digits than a sensor resolves", (unit, words) => {
    expect(inLine(pressureShown(230, unit))).toBe(words);
  });

  it("that is typed and written comes back nearly the same, in every unit", () => {
    fc.assert(
      fc.property(fc.integer({ min: 10, max: 2000 }), fc.constantFrom("kPa", "psi", "bar"), (kpa, unit) => {
        const typed = pressureTyped(pressureInBox(kpa, unit), unit, 10, 2000, "It");
        expect(typed.ok).toBe(true);
        if (typed.ok) expect(Math.abs((typed.value ?? 0) - kpa)).toBeLessThan(0.4);
      }),
    );
  });

  it("that does not do is refused with what would, in the unit that is shown", () => {
    expect(pressureTyped("350", "psi", 10, 2000, "A placard pressure")).toEqual({
      ok: false,
      says: "A placard pressure in psi is a number from 1.5 to 290.1. Mend it, or leave it empty.",
    });
  });
});

describe("a number", () => {
  it("has a true minus sign, and none before zero", () => {
    expect(figure(-12.34, 1)).toBe("−12.3");
    expect(figure(-0.04, 1)).toBe("0.0");
    expect(signed(4.31, 1)).toBe("+4.3");
    expect(signed(0.01, 1)).toBe("0.0");
    expect(signed(-1.9, 1)).toBe("−1.9");
  });

  it("that is typed may have a comma, a point or nothing", () => {
    expect(numberTyped(" 2,4 ", 0, 10, "It")).toEqual({ ok: true, value: 2.4 });
    expect(numberTyped("", 0, 10, "It")).toEqual({ ok: true, value: null });
    expect(numberTyped("Infinity", 0, 10, "It").ok).toBe(false);
    expect(numberTyped("12 km", 0, 100, "It").ok).toBe(false);
  });
});

it("a temperature is told in the unit of the device", () => {
  expect(inLine(temperatureShown(-40, "degC"))).toBe("−40\u202f°C");
  expect(inLine(temperatureShown(-40, "degF"))).toBe("−40\u202f°F"); // where both scales meet
  expect(inLine(temperatureShown(100, "degF"))).toBe("212\u202f°F");
});

it("things are counted and listed as people write them", () => {
  expect([0, 1, 12].map((n) => counted(n, "burst"))).toEqual(["no bursts", "1 burst", "12 bursts"]);
  expect(listed(["a", "b", "c"])).toBe("a, b and c");
  expect(listed([])).toBe("");
});

describe("a sensor ID", () => {
  it("is cut into groups of four, of which nothing is lost", () => {
    expect(identityGroups("3f09c2d1")).toEqual(["3f09", "c2d1"]);
    expect(identityGroups("4d0b33")).toEqual(["4d0b", "33"]);
    fc.assert(
      fc.property(fc.string({ unit: "grapheme" }), (id) => {
        expect(identityGroups(id).join("")).toBe(id);
      }),
    );
  });

  it("is taken as it is typed from a label", () => {
    expect(identityTyped(" 3F09 C2-D1 ")).toBe("3f09c2d1");
    expect(identityTyped("  ")).toBeNull();
  });
});

describe("settings kept by a device", () => {
  it("come back as they were", () => {
    const kept = { theme: "night", density: "bay", pressure: "psi", temperature: "degF" };
    expect(settingsFrom(JSON.stringify(kept))).toEqual(kept);
  });

  it("fall back one by one where they do not fit", () => {
    expect(settingsFrom('{"theme":"pink","pressure":"bar"}')).toEqual({ ...DEFAULT_SETTINGS, pressure: "bar" });
    for (const text of [null, "", "{", "7", "null", "[]"]) expect(settingsFrom(text)).toEqual(DEFAULT_SETTINGS);
  });

  it("decide the look before the device does", () => {
    expect(themeShown("device", true)).toBe("night");
    expect(themeShown("device", false)).toBe("paper");
    expect(themeShown("sunlight", true)).toBe("sunlight");
  });
});

describe("a time", () => {
  it("is told to the minute in the zone that is asked for", () => {
    expect(timeShown("2026-11-25T09:00:00.350000Z", "UTC")).toBe("25 Nov 2026, 09:00");
    expect(timeShown("no time")).toBe("no time");
  });

  it.each([
    [0.5, "now"],
    [3, "3 s ago"],
    [89, "89 s ago"],
    [600, "10 min ago"],
    [7200, "2 h ago"],
    [3 * 86400, "3 days ago"],
  ])("of %d s before is told in words", (seconds, words) => {
    const nowMs = Date.parse("2026-11-25T12:00:00Z");
    expect(agoShown(new Date(nowMs - seconds * 1000).toISOString(), nowMs)).toBe(words);
  });
});
