import { describe, expect, it } from "vitest";
import { type GaugeAt, potFills } from "../../server/bench/fills.ts";
import type { Lot } from "../../server/bench/lot.ts";
import type { PotReading } from "../../server/bench/settle.ts";
import { fillEntry, usualLot } from "../support/said.ts";

/** A reading a second of one specimen. */
const told = (kpa: number, from: number, to: number): PotReading[] =>
  Array.from({ length: to - from }, (_, i) => ({ atMs: 1000 * (from + i), by: "1", kpa, stepKpa: 0.5 }));
const logged = (kpa: (at: number) => number | null, from: number, to: number, temperatureC: number | null = null) =>
  Array.from({ length: to - from }, (_, i): GaugeAt => {
    return { atMs: 1000 * (from + i), kpa: kpa(from + i), temperatureC };
  });
const fillsOf = (fills: Lot["fills"], readings: readonly PotReading[] = [], log: readonly GaugeAt[] = []) =>
  potFills(usualLot({ fills }), log, readings, 5);

describe("which set point a fill is of", () => {
  it("is the next in order that the gauge comes near, so that 200 kPa is met again on the way down", () => {
    const shown = [98, 203, 300, 199, 105];
    const fills = fillsOf(shown.map((kpa, i) => fillEntry(`f${i}`, kpa, 100 * i)));
    expect(fills.map(({ setPoint }) => setPoint)).toEqual([0, 1, 2, 3, 4]);
  });

  it("is the one that was named, and the next go on from there", () => {
    const fills = fillsOf([fillEntry("a", 200, 0, { setPoint: 3 }), fillEntry("b", 100, 100)]);
    expect(fills.map(({ setPoint }) => setPoint)).toEqual([3, 4]);
  });

  it("is an earlier one where none ahead is near, and none where the gauge is far from all", () => {
    const fills = fillsOf([
      fillEntry("a", 100, 0, { setPoint: 4 }),
      fillEntry("b", 300, 100),
      fillEntry("c", 160, 200),
    ]);
    expect(fills.map(({ setPoint }) => setPoint)).toEqual([4, 2, null]);
  });

  it("goes by the time of the fills, not by the order in which they were written down", () => {
    const fills = fillsOf([fillEntry("late", 200, 100), fillEntry("early", 100, 0)]);
    expect(fills.map(({ id, setPoint }) => [id, setPoint])).toEqual([
      ["early", 0],
      ["late", 1],
    ]);
  });
});

describe("the time of a fill", () => {
  it("goes back to before the gauge was read, but not into the fill before", () => {
    const readings = [...told(100, 0, 60), ...told(200, 60, 120)];
    const [first, second] = fillsOf([fillEntry("a", 100, 30), fillEntry("b", 200, 100)], readings);
    expect(first).toMatchObject({ endMs: 100_000, settled: { fromMs: 0 } });
    expect(first!.settled!.toMs).toBeLessThan(62_000);
    expect(second!.settled!.fromMs).toBeGreaterThanOrEqual(59_000);
    expect(second).toMatchObject({ endMs: null, settled: { toMs: 119_000 } });
  });

  it("does not take over a longer rest at nearly the same pressure from the fill before", () => {
    const readings = [...told(200, 0, 80), ...told(206, 80, 120)];
    const [first, second] = fillsOf([fillEntry("a", 200, 10), fillEntry("b", 206, 110)], readings);
    expect(first!.settled!.fromMs).toBe(0);
    expect(second!.settled!.fromMs).toBeGreaterThanOrEqual(78_000);
  });

  it("ends where somebody wrote that it was let down", () => {
    const fill = fillEntry("a", 100, 0, { endedAt: new Date(20_000).toISOString() });
    const [only] = fillsOf([fill], told(100, 0, 60));
    expect(only).toMatchObject({ endMs: 20_000, settled: { toMs: 19_000 } });
  });

  it("counts what came after the gauge was read and not while the pot stood still", () => {
    const readings = [...told(100, 0, 40), ...told(60, 40, 50)];
    const [only] = fillsOf([fillEntry("a", 100, 10)], readings);
    expect(only!.settled!.count + only!.leftOut).toBe(50);
    expect(only!.leftOut).toBeGreaterThanOrEqual(9);
  });

  it("is there before any telegram, with nothing settled", () => {
    const [only] = fillsOf([fillEntry("a", 100, 10)]);
    expect(only).toMatchObject({ settled: null, leftOut: 0, gaugeKpa: 100, endMs: null });
    expect(only!.gaugeAt(0)).toBe(100);
  });
});

describe("a gauge's log", () => {
  it("gives the fills where nobody wrote any down: its plateaus away from the open air", () => {
    const pot = (at: number) => (at < 20 ? 0 : at < 60 ? 100 : at < 70 ? 10 * (at - 60) + 100 : at < 120 ? 200 : 0);
    const readings = [...told(101, 20, 60), ...told(201, 70, 120)];
    const fills = fillsOf([], readings, logged(pot, 0, 140));
    expect(fills.map(({ from, gaugeKpa, setPoint }) => ({ from, gaugeKpa, setPoint }))).toEqual([
      { from: "log", gaugeKpa: 100, setPoint: 0 },
      { from: "log", gaugeKpa: 200, setPoint: 1 },
    ]);
  });

  it("that twitches once within a plateau still gives one fill", () => {
    const fills = fillsOf(
      [],
      told(100, 0, 60),
      logged((at) => (at === 30 ? 103 : 100), 0, 60),
    );
    expect(fills).toHaveLength(1);
  });

  it("tells the pressure of every moment, on straight lines between its readings", () => {
    const log: GaugeAt[] = [0, 10, 20, 30].map((at) => ({ atMs: 1000 * at, kpa: 100 + at / 100, temperatureC: null }));
    const [only] = fillsOf([fillEntry("a", 100.5, 5)], told(100, 0, 31), log);
    expect(only!.gaugeKpa).toBeCloseTo(100.15, 9);
    expect(only!.gaugeMovedKpa).toBeCloseTo(0.3, 9);
    expect([-1000, 0, 15_000, 30_000, 99_000].map((ms) => only!.gaugeAt(ms))).toEqual(
      [100, 100, 100.15, 100.3, 100.3].map((kpa) => expect.closeTo(kpa, 9)),
    );
  });

  it("has no say where it holds no pressure, but may tell how warm the pot was", () => {
    const log = logged(() => null, 0, 40, 23.5);
    const [only] = fillsOf([fillEntry("a", 100, 5)], told(100, 0, 40), log);
    expect(only).toMatchObject({ gaugeKpa: 100, gaugeMovedKpa: null, temperatureC: 23.5 });
    const [typed] = fillsOf([fillEntry("a", 100, 5, { temperatureC: 19 })], told(100, 0, 40), log);
    expect(typed!.temperatureC).toBe(19);
  });

  it("may be as long as a night at ten readings a second", { timeout: 20_000 }, () => {
    const log = logged(() => 100, 0, 400_000);
    const [only] = fillsOf([], told(100, 0, 5), log);
    expect(only).toMatchObject({ from: "log", gaugeKpa: 100 });
    const [typed] = fillsOf([fillEntry("a", 100, 1)], [...told(100, 0, 5), ...told(100, 399_990, 400_000)], log);
    expect(typed!.gaugeMovedKpa).toBe(0);
  });
});
