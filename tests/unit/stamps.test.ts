import { describe, expect, it } from "vitest";
import { createStamps } from "../../server/receivers/stamps.ts";

const HOUR_MS = 3_600_000;
const NOON = Date.parse("2026-11-25T12:00:00Z");

describe("times of day of what comes in", () => {
  it("go on counting where the clock stands still or is put back by an hour", () => {
    let now = NOON;
    const stamp = createStamps(() => now);
    const first = stamp();
    const second = stamp();
    now -= HOUR_MS;
    const third = stamp();
    now += HOUR_MS + 1;
    expect([first, second, third, stamp()]).toEqual([
      "2026-11-25T12:00:00.000000Z",
      "2026-11-25T12:00:00.000001Z",
      "2026-11-25T12:00:00.000002Z",
      "2026-11-25T12:00:00.001000Z",
    ]);
  });

  it("go on behind those of an earlier run, though the clock was put back since", () => {
    const before = "2026-11-25T12:00:00.000002Z";
    expect(createStamps(() => NOON - HOUR_MS, before)() > before).toBe(true);
    expect(createStamps(() => NOON + HOUR_MS, before)()).toBe("2026-11-25T13:00:00.000000Z");
  });

  it("do not follow a clock that was a year ahead once", () => {
    expect(createStamps(() => NOON, "2027-11-25T12:00:00.000000Z")()).toBe("2026-11-25T12:00:00.000000Z");
  });
});
