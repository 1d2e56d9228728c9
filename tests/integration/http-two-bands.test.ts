import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { BAND_NAMES, type LinkSettings, linksOf } from "../../decoders/radio/link.ts";
import { levelFor, theoryOf } from "../../decoders/radio/noncoherent.ts";
import { KEYING_NAMES, KEYINGS, type KeyingName } from "../../decoders/radio/telegram.ts";
import type { BandTriedBody, BandTryBody } from "../../server/http/wire/bands.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

const settings: LinkSettings = {
  distanceM: 3,
  moreLossDb: 0,
  sensorHeightM: 0.3,
  receiverHeightM: 1,
  reflection: -1,
  loopAreaMm2: 408,
  ownDbm: 0,
  noiseFigureDb: 6,
  bandwidthKhz: 200,
  interfererDbm: -100,
  interfererOffsetKhz: 60,
  keying: "fsk-plain",
  antenna: "isotropic",
  power: "own",
  path: "free-space",
  receivingAntenna: "isotropic",
  tuned: "own",
  interferer: "none",
};

async function tried(change: Partial<LinkSettings> & { telegrams?: number; seed?: number }): Promise<BandTryBody> {
  const json = { seed: 11, ...settings, ...change };
  const { status, body } = await bench.ask("POST", "/two-bands/tries", { json });
  expect(status, JSON.stringify(body)).toBe(200);
  return body;
}

/** What has to be lost beyond free space so that Eb/N0 at a band is so much. */
function lossFor(ebN0Db: number, band: (typeof BAND_NAMES)[number], keying: KeyingName): Partial<LinkSettings> {
  const far = { ...settings, keying, distanceM: 300, ownDbm: -10 };
  const link = linksOf(far).find((one) => one.band === band)!;
  return { ...far, moreLossDb: link.ebN0Db - ebN0Db };
}

/** The least and the most of n that a chance p gives with 99 %, half a percent beyond each end. */
function binomialBand(n: number, p: number): readonly [number, number] {
  const chances: number[] = [];
  let one = (1 - p) ** n;
  for (let k = 0; k <= n; k++) {
    chances.push(one);
    one *= ((n - k) / (k + 1)) * (p / (1 - p));
  }
  const low = firstOver(chances);
  const high = n - firstOver(chances.toReversed());
  return [low, high];
}

/** How many of the first have half a percent between them. */
function firstOver(chances: readonly number[]): number {
  let sum = 0;
  let at = 0;
  while (sum + chances[at]! <= 0.005) sum += chances[at++]!;
  return at;
}

describe("the same telegram in two bands", () => {
  it("is read every time where both are strong, with what is expected beside", async () => {
    for (const keying of KEYING_NAMES) {
      const { seed, telegrams, bands } = await tried({ keying, ownDbm: -10 });
      expect([seed, telegrams]).toEqual([11, 20]);
      expect(bands.map(({ carrierHz, tunedHz }) => [carrierHz, tunedHz])).toEqual([
        [315e6, 315e6],
        [433.92e6, 433.92e6],
      ]);
      for (const one of bands) {
        expect(one.ebN0Db, keying).toBeGreaterThan(60);
        expect([one.sent, one.read.count, one.withoutRepair.count, one.missed], keying).toEqual([20, 20, 20, []]);
        expect(one.expected.share).toBeCloseTo(1, 9);
        expect([one.read.from, one.read.to]).toEqual([expect.closeTo(0.8316, 4), 1]); // 0.025^(1/20)
      }
    }
  }, 120_000);

  it.each(BAND_NAMES)(
    "is read without repair as often as theory has it where that is one half, at %s MHz",
    async (band) => {
      const level = levelFor(theoryOf(KEYINGS["fsk-plain"]).success, 0.5);
      const { bands } = await tried({ ...lossFor(level, band, "fsk-plain"), telegrams: 60 });
      const one = bands.find((other) => other.band === band)!;
      expect(one.ebN0Db).toBeCloseTo(level, 6);
      expect(one.madeEbN0Db).toBeCloseTo(level, 6);
      expect(one.expected.share).toBeCloseTo(0.5, 3);
      const [low, high] = binomialBand(60, 0.5);
      expect([low, high]).toEqual([20, 40]);
      expect(one.withoutRepair.count).toBeGreaterThanOrEqual(low);
      expect(one.withoutRepair.count).toBeLessThanOrEqual(high);
      expect(one.read.count).toBeGreaterThanOrEqual(one.withoutRepair.count);
      expect(one.missed.reduce((sum, { count }) => sum + count, 0)).toBe(60 - one.read.count);
    },
    60_000,
  );

  it("comes through at 433.92 MHz less often than at 315 MHz from the same power, by the 2.78 dB of free space", async () => {
    const level = levelFor(theoryOf(KEYINGS["fsk-plain"]).success, 0.9);
    const { bands } = await tried({ ...lossFor(level, "315", "fsk-plain"), telegrams: 40 });
    const [low, high] = bands as [BandTriedBody, BandTriedBody];
    expect(low.ebN0Db - high.ebN0Db).toBeCloseTo(2.782, 3);
    expect(low.withoutRepair.count).toBeGreaterThan(high.withoutRepair.count + 10);
  }, 60_000);

  it.each(["fsk-manchester", "ask-plain"] as const)(
    "keyed as %s is read at least as often as without the phase, which the decoder follows there",
    async (keying) => {
      const level = levelFor(theoryOf(KEYINGS[keying]).success, 0.5);
      const { bands } = await tried({ ...lossFor(level, "433", keying), telegrams: 40 });
      const one = bands.find(({ band }) => band === "433")!;
      expect(one.withoutRepair.count).toBeGreaterThanOrEqual(binomialBand(40, 0.5)[0]);
    },
    60_000,
  );

  it("depends on nothing but what was sent: the same seed gives the same", async () => {
    const weak = { ...lossFor(9, "433", "fsk-plain"), telegrams: 10 };
    expect(await tried(weak)).toEqual(await tried(weak));
    const other = await bench.ask("POST", "/two-bands/tries", { json: { ...settings, ownDbm: -10, telegrams: 5 } });
    expect(other.status).toBe(200);
    expect(other.body.bands).toHaveLength(2);
  }, 60_000);

  it("is not heard at all by a receiver on the other band, however strong it is", async () => {
    const { bands } = await tried({ tuned: "315", ownDbm: 20, distanceM: 0.5 });
    const [low, high] = bands as [BandTriedBody, BandTriedBody];
    expect([low.read.count, low.missed]).toEqual([20, []]);
    expect([high.carrierHz, high.tunedHz, high.expected.share]).toEqual([433.92e6, 315e6, 0]);
    expect([high.sent, high.read.count, high.read.from]).toEqual([20, 0, 0]);
    expect(high.missed.map(({ rung, count }) => [rung, count])).toEqual([["burst", 20]]);
    expect(high.missed[0]?.because).toMatch(/\.$/);
  }, 60_000);

  it("drowns in a strong interferer in its band, and not in one beside it", async () => {
    const near = { ...lossFor(16, "433", "fsk-plain"), interfererDbm: -70, interferer: "433" as const };
    const { bands } = await tried({ ...near, interfererOffsetKhz: 20 });
    const [low, high] = bands as [BandTriedBody, BandTriedBody];
    expect(high.ebN0Db).toBeLessThan(high.madeEbN0Db - 30);
    expect(high.expected.share).toBeLessThan(1e-9);
    expect(high.read.count).toBeLessThan(low.read.count);
    expect(low.withoutRepair.count).toBe(20);
    expect(low.ebN0Db).toBe(low.madeEbN0Db);
    const beside = await tried({ ...near, bandwidthKhz: 100, interfererOffsetKhz: 60 });
    expect(beside.bands[1]?.ebN0Db).toBe(beside.bands[1]?.madeEbN0Db);
    expect(beside.bands[1]?.withoutRepair.count).toBe(20);
  }, 60_000);
});

describe("what does not fit", () => {
  it.each([
    [{ distanceM: 0 }, "distanceM"],
    [{ bandwidthKhz: 50 }, "bandwidthKhz"],
    [{ telegrams: 61 }, "telegrams"],
    [{ interfererOffsetKhz: 101 }, "interfererOffsetKhz"],
    [{ keying: "voice" }, "keying"],
    [{ seed: -1 }, "seed"],
    [{ path: "two-rays", distanceM: 1, receiverHeightM: 2 }, "distanceM"],
  ])("%j is refused by its name, %s", async (change, path) => {
    const { status, body } = await bench.ask("POST", "/two-bands/tries", { json: { ...settings, ...change } });
    expect(status).toBe(400);
    expect(body.complaints.map((one: { path: string }) => one.path)).toEqual([path]);
  });

  it("more at once than the threads can do soon is asked to wait", async () => {
    const weak = { ...lossFor(9, "433", "fsk-plain"), telegrams: 5 };
    const all = await Promise.all(
      Array.from({ length: 8 }, () => bench.ask("POST", "/two-bands/tries", { json: { ...settings, ...weak } })),
    );
    expect(all.map(({ status }) => status).toSorted()).toEqual([200, 200, 200, 200, 200, 200, 503, 503]);
  }, 60_000);
});
