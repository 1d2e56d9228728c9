import { describe, expect, it } from "vitest";
import { lossPerMonth, type PastReading } from "../../server/jobs/pressure/lossPerMonth.ts";

const on = (day: number, gaugeKpa: number, temperatureC: number | null = 20): PastReading => ({
  at: new Date(Date.UTC(2026, 0, 1) + day * 86_400_000).toISOString(),
  gaugeKpa,
  temperatureC,
  ambientKpa: 100,
});
const told = (readings: readonly PastReading[], threshold: number | null = null) => {
  const loss = lossPerMonth(readings, threshold);
  if (loss.kind !== "told") throw new Error(loss.why);
  return loss;
};

describe("loss per month", () => {
  it("of two visits takes the sensor's own uncertainty", () => {
    const loss = told([on(0, 250), on(121.75, 226)]);
    expect(loss.kpaPerMonth).toBeCloseTo(6, 6);
    // At 20 degC: 3.5 kPa and (350 / 293.15) x 1.5 K = 1.79 kPa, together about 3.93; twice the root of 2 of it in four
    // months is 2.78 kPa a month.
    expect(loss.toKpaPerMonth - 6).toBeCloseTo(2.78, 1);
    expect(loss.judged).toBe("natural");
  });

  it("is nothing where only the temperature fell", () => {
    // 350 kPa absolute at 20 degC is 326.12 at 0 degC.
    expect(told([on(0, 250), on(90, 226.12, 0)]).kpaPerMonth).toBeCloseTo(0, 2);
  });

  it("starts anew at a refill, and leaves out what has no temperature", () => {
    const loss = told([on(90, 240), on(0, 250), on(30, 200), on(31, 250), on(60, 245), on(70, 111, null)]);
    expect(loss.series).toHaveLength(3);
    expect(loss.series[0]?.gaugeKpa).toBeCloseTo(250, 9);
    expect(lossPerMonth([on(0, 200), on(30, 250)], null).kind).toBe("cannot be told");
    expect(lossPerMonth([], null).kind).toBe("cannot be told");
  });

  it("over 14 kPa a month with all its interval has it inspected, and cannot tell in between", () => {
    expect(told([on(0, 300), on(60, 250), on(120, 200), on(180, 150)]).words).toContain("have it inspected");
    expect(told([on(0, 250), on(30, 238)]).judged).toBe("cannot tell");
  });

  it("meets the threshold on a day between the earliest and the latest", () => {
    // 10 kPa in 30 days from 250: 172.5 is 232.5 days after 1 January, 21 August.
    const { threshold } = told([on(0, 250), on(30, 240), on(60, 230), on(90, 220)], 172.5);
    expect(threshold?.day).toBe("2026-08-21");
    expect(threshold!.earliest! < "2026-08-21" && threshold!.latest! > "2026-08-21").toBe(true);
    const unsure = told([on(0, 250), on(10, 249)], 172.5).threshold;
    expect(unsure?.latest).toBeNull();
    expect(told([on(0, 180), on(30, 160)], 172.5).threshold?.day).toBe("2026-01-31");
  });
});
