import { describe, expect, it } from "vitest";
import { chance } from "../../seeds/noise.ts";
import { type PotReading, settledIn } from "../../server/bench/settle.ts";
import { normal } from "../support/chances.ts";

const LIMIT_KPA = 5;

/** Twenty specimens in turn, each off by its own error, one reading a second from a pot whose pressure goes by `pot`. */
function heardFrom(
  pot: (seconds: number) => number,
  seconds: number,
  change: (kpa: number, i: number) => number = (kpa) => kpa,
): PotReading[] {
  return Array.from({ length: seconds }, (_, i) => {
    const by = i % 20;
    const kpa = change(pot(i) + (by - 10) / 5, i);
    return { atMs: 1000 * i, by: String(by), kpa: 0.5 * Math.round(kpa / 0.5), stepKpa: 0.5 };
  });
}

const settled = (readings: readonly PotReading[], gaugeKpa = 200) => settledIn(readings, gaugeKpa, LIMIT_KPA);

describe("when the pot stood still", () => {
  it("is the whole time of a pot that nothing moves, whatever each specimen's own error is", () => {
    expect(settled(heardFrom(() => 200, 60))).toEqual({ fromMs: 0, toMs: 59_000, count: 60, driftKpa: 0 });
  });

  it("leaves out the air that cools after the fill, and the pot that is let down before anybody says so", () => {
    const pot = (at: number) => (at < 100 ? 200 + 12 * Math.exp(-at / 10) : 200 - 4 * (at - 100));
    const found = settled(heardFrom(pot, 130))!;
    // 12 kPa have become less than 1 after 25 s, and a fifth after 41 s.
    expect(found.fromMs).toBeGreaterThan(20_000);
    expect(found.fromMs).toBeLessThan(41_000);
    expect(found.toMs).toBeGreaterThan(97_000);
    expect(found.toMs).toBeLessThan(103_000);
  });

  it("is not broken by one specimen that tells nonsense in between", () => {
    const found = settled(
      heardFrom(
        () => 200,
        60,
        (kpa, i) => (i % 20 === 7 && i > 20 ? kpa + 40 : kpa),
      ),
    );
    expect(found).toMatchObject({ fromMs: 0, toMs: 59_000 });
  });

  it("is not cut short by readings that scatter by more than a step", () => {
    const random = chance(1);
    const scattered = heardFrom(
      () => 200,
      200,
      (kpa) => kpa + 0.7 * normal(random),
    );
    expect(settled(scattered)!.count).toBeGreaterThan(190);
  });

  it("takes the longer of two rests", () => {
    const found = settled(heardFrom((at) => (at < 30 ? 205 : 200), 100))!;
    expect(found.fromMs).toBeGreaterThanOrEqual(28_000);
    expect(found.toMs).toBe(99_000);
  });

  it("tells by how much everything moved, where it is more than scatter", () => {
    const found = settled(
      heardFrom(
        (at) => 200 - at / 100,
        100,
        (kpa, i) => kpa + ((i * 7) % 5) / 10,
      ),
    )!;
    expect(found).toMatchObject({ fromMs: 0, toMs: 99_000 });
    expect(found.driftKpa).toBeGreaterThan(0.5);
    expect(found.driftKpa).toBeLessThan(1.5);
  });

  it("is never, where the pot fills all the while", () => {
    const alone = heardFrom((at) => 150 + 3 * at, 40).map((one) => ({ ...one, by: "1" }));
    expect(settled(alone)).toBeUndefined();
  });

  it("is never, where what was told is far from the gauge", () => {
    const alone = heardFrom(() => 120, 60).map((one) => ({ ...one, by: "1" }));
    // Its own middle lies there too, so that only another fill's readings beside it can tell.
    const both = [...alone, ...heardFrom(() => 200, 60).map((one) => ({ ...one, atMs: one.atMs + 60_000, by: "1" }))];
    expect(settled(both)?.fromMs).toBeGreaterThanOrEqual(58_000);
  });

  it("is not told by fewer than three readings", () => {
    const ofOne = (count: number) => heardFrom(() => 200, count).map((one) => ({ ...one, by: "1" }));
    expect(settled([])).toBeUndefined();
    expect(settled(ofOne(2))).toBeUndefined();
    expect(settled(ofOne(3))).toMatchObject({ count: 3 });
  });

  it("is not told by specimens that each told once: a pot that moves would seem to stand", () => {
    expect(settled(heardFrom((at) => 200 + 3 * (at - 10), 20))).toBeUndefined();
    expect(settled(heardFrom(() => 200, 20))).toBeUndefined();
    expect(settled(heardFrom(() => 200, 40))).toMatchObject({ count: 40 });
  });

  it("is not told by readings of one moment", () => {
    expect(settled(heardFrom(() => 200, 20).map((one) => ({ ...one, atMs: 5000 })))).toBeUndefined();
  });
});
