import { describe, expect, it } from "vitest";
import { hitChance } from "../../decoders/radio/aloha.ts";
import { parseScenario } from "../../seeds/scenario.ts";
import { synthesise } from "../../seeds/synthesise.ts";
import { type Yard, yardScenario } from "../../server/http/class/yard.ts";
import { yardPlay } from "../../server/http/class/yardPlay.ts";

const yard: Yard = {
  sensors: 20,
  periodSeconds: 1,
  telegramMs: 10,
  seconds: 10,
  copies: 1,
  levelSpreadDb: 12,
  timing: "varied",
  seed: 1,
};

/** What is told of a yard by its times alone: no sample is made, so nothing is read. */
function unheard(change: Partial<Yard>) {
  const own = { ...yard, ...change };
  const parsed = parseScenario(yardScenario(own));
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
  return yardPlay(own, { truth: synthesise(parsed.scenario).truth, records: [], sampleRateHz: 250_000 });
}

const seeds = Array.from({ length: 80 }, (_, i) => i + 1);

describe("a yard in which nobody listens", () => {
  // Over 80 plays the mean of a share that scatters as these do is within 2 points.
  it.each([
    { sensors: 6, periodSeconds: 0.4, copies: 1 },
    { sensors: 20, periodSeconds: 1, copies: 1 },
    { sensors: 30, periodSeconds: 0.5, copies: 1 },
    { sensors: 10, periodSeconds: 1, copies: 3 },
  ])("of $sensors, every $periodSeconds s, $copies copies, overlaps as often as ALOHA says", (change) => {
    const plays = seeds.map((seed) => unheard({ ...change, seed }));
    const mean = plays.reduce((sum, play) => sum + (play.overlap.measured ?? 0), 0) / plays.length;
    const { sensors, periodSeconds, copies } = change;
    const expected = hitChance({ count: sensors, burstSeconds: 0.01, periodSeconds: periodSeconds / copies });
    expect(plays[0]?.overlap.aloha).toBeCloseTo(expected, 12);
    expect(Math.abs(mean - expected)).toBeLessThan(0.02);
  });

  it("has an interval that holds what ALOHA says in about 95 of 100 plays", () => {
    const many = Array.from({ length: 200 }, (_, i) => unheard({ seed: 1000 + i }));
    const held = many.filter(({ overlap }) => overlap.aloha >= overlap.from! && overlap.aloha <= overlap.to!).length;
    expect(held / many.length).toBeGreaterThan(0.9);
    expect(held / many.length).toBeLessThan(1);
  });

  it("scatters far more where all keep one period, and then gives no interval", () => {
    const spread = (timing: Yard["timing"]) => {
      const shares = seeds.map((seed) => unheard({ timing, seed }).overlap.measured ?? 0);
      const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
      return Math.sqrt(shares.reduce((sum, share) => sum + (share - mean) ** 2, 0) / shares.length);
    };
    expect(spread("strict")).toBeGreaterThan(1.7 * spread("varied"));
    const { overlap, because } = unheard({ timing: "strict" });
    expect([overlap.from, overlap.to]).toEqual([null, null]);
    expect(because).toMatch(/^No interval/);
  });

  it("counts a telegram as lost to overlaps only where all of its copies are", () => {
    const { telegrams, copies, sent } = unheard({ sensors: 30, copies: 2 });
    expect(copies.sent).toBe(2 * telegrams.sent);
    expect(sent.filter(({ sensor, number }) => sensor === 1 && number === 0)).toHaveLength(2);
    expect(telegrams.allOverlapped).toBeGreaterThan(0);
    expect(telegrams.allOverlapped).toBeLessThan(copies.overlapped / 2);
  });

  it("says what to change where nothing is sent", () => {
    const { overlap, because } = unheard({ sensors: 2, periodSeconds: 60, seconds: 1, seed: 3 });
    expect([overlap.measured, overlap.from]).toEqual([null, null]);
    expect(because).toMatch(/^Nothing was sent in this time/);
  });
});
