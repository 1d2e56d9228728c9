import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { gridFor } from "../../decoders/signal/channeliser.ts";
import { createEar } from "../../decoders/signal/ear.ts";
import type { HeardBurst } from "../../decoders/signal/heardBurst.ts";
import { createHistory } from "../../decoders/signal/history.ts";
import { createTracker } from "../../decoders/signal/tracks.ts";
import { addNoise, chance } from "../../seeds/noise.ts";

const NOISE_POWER = 1e-3;

/** What an ear makes of noise in which a carrier is switched on for a while, a quarter of a second a block. */
function hear(
  sampleRateHz: number,
  seconds: number,
  seed: number,
  carrier?: { dbfs: number; from: number; to: number },
) {
  const ear = createEar("cf32_le", sampleRateHz, 0);
  const random = chance(seed);
  const bursts: HeardBurst[] = [];
  const perBlock = sampleRateHz / 4;
  for (let block = 0; block < 4 * seconds; block++) {
    const iq = new Float64Array(2 * perBlock);
    addNoise(iq, NOISE_POWER, random);
    for (let i = 0; carrier && i < perBlock; i++) {
      const at = (block * perBlock + i) / sampleRateHz;
      if (at < carrier.from || at >= carrier.to) continue;
      const amplitude = 10 ** (carrier.dbfs / 20);
      iq[2 * i] = iq[2 * i]! + amplitude * Math.cos(2 * Math.PI * 30_000 * at);
      iq[2 * i + 1] = iq[2 * i + 1]! + amplitude * Math.sin(2 * Math.PI * 30_000 * at);
    }
    bursts.push(...ear.push(new Uint8Array(Float32Array.from(iq).buffer)));
  }
  bursts.push(...ear.end());
  return {
    bursts: bursts.filter(({ faint }) => !faint),
    faint: bursts.filter(({ faint }) => faint),
    quiet: ear.quiet(),
  };
}

describe("an ear", () => {
  it.each([250_000, 500_000])("hears hardly a burst in 40 seconds of noise at %i samples a second", (rate) => {
    const { bursts, quiet } = hear(rate, 40, 77);
    expect(quiet.samples).toBeGreaterThan(39.9 * rate);
    expect(10 * Math.log10(quiet.noisePower)).toBeCloseTo(-30, 0);
    expect(quiet.steady).toEqual([]);
    expect(bursts.length).toBeLessThanOrEqual(2);
  });

  // 2 ms is the shortest burst that is looked for; a step is half a millisecond, and a switch is heard beside its channel.
  it.each([0.002, 0.005, 0.05, 0.2])("hears a carrier that is on for %f s, where it is", (seconds) => {
    const from = 0.6;
    const { bursts } = hear(500_000, 2, 5, { dbfs: -30, from, to: from + seconds });
    expect(bursts).toHaveLength(1);
    const { startSample, endSample, lowHz, highHz, noiseDensity, cutByStart, cutByEnd } = bursts[0]!;
    expect(Math.abs(startSample / 500_000 - from)).toBeLessThan(0.0016);
    expect(Math.abs(endSample / 500_000 - from - seconds)).toBeLessThan(0.0016);
    expect(lowHz).toBeLessThan(30_000);
    expect(highHz).toBeGreaterThan(30_000);
    expect(highHz - lowHz).toBeLessThan(200_000);
    // A burst that fills much of half a second lifts the floor a little.
    expect(Math.abs(10 * Math.log10(noiseDensity * 500_000) + 30)).toBeLessThan(1);
    expect([cutByStart, cutByEnd]).toEqual([false, false]);
  });

  it("takes a carrier that is always there for none, and tells it", () => {
    const { bursts, quiet } = hear(500_000, 5, 6, { dbfs: -30, from: 0, to: 5 });
    expect(bursts).toEqual([]);
    expect(quiet.steady.length).toBeGreaterThan(0);
    for (const { offsetHz } of quiet.steady) expect(Math.abs(offsetHz - 30_000)).toBeLessThan(500);
  });
});

describe("a tracker", () => {
  it("does not count to a burst's band what touches it for a moment", () => {
    const grid = gridFor(400_000);
    const tracker = createTracker(grid, 0);
    const level = new Float32Array(grid.channels).fill(1);
    const tracks = [];
    for (let step = 0; step < 80; step++) {
      const power = new Float32Array(grid.channels).fill(1);
      if (step >= 30 && step < 54) power.fill(40, 10, 13);
      // Something beside it is switched on, and wide for as long as that takes.
      if (step >= 40 && step < 42) power.fill(40, 13, 17);
      tracks.push(...tracker.step(power, level));
    }
    tracks.push(...tracker.end());
    expect(tracks).toHaveLength(1);
    const { firstStep, endStep, lowChannel, highChannel } = tracks[0]!;
    expect([firstStep, endStep, lowChannel]).toEqual([30, 54, 10]);
    expect(highChannel).toBe(13);
  });
});

describe("the grid of channels and steps", () => {
  it("has steps of about half a millisecond and never more samples than it should, at any rate", () => {
    for (const rate of [1e3, 48e3, 250e3, 1.024e6, 2.4e6, 20e6, 1e9]) {
      const grid = gridFor(rate);
      expect(Math.log2(grid.channels) % 1).toBe(0);
      expect(grid.stepSamples).toBe(grid.channels * grid.averages);
      if (rate >= 200e3) expect(Math.abs(grid.stepSeconds / 0.0005 - 1)).toBeLessThan(0.2);
      if (rate >= 400e3 && rate <= 60e6) expect(Math.abs(Math.log2(grid.channelHz / 12e3))).toBeLessThan(0.55);
    }
  });
});

describe("the history of a stream", () => {
  it("gives back exactly what was pushed, as far as it holds it", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 64 }),
        fc.array(fc.uint8Array({ maxLength: 100 }), { maxLength: 20 }),
        fc.nat(63),
        fc.nat(63),
        (capacity, pieces, from, length) => {
          const history = createHistory(new Uint8Array(capacity));
          const all: number[] = [];
          for (const piece of pieces) {
            history.push(piece);
            all.push(...piece);
            expect(history.end).toBe(all.length);
            expect(history.start).toBe(Math.max(0, all.length - capacity));
            const first = history.start + (from % (history.end - history.start + 1));
            const last = Math.min(history.end, first + length);
            expect([...history.copy(first, last)]).toEqual(all.slice(first, last));
          }
          expect(() => history.copy(history.start - 1, history.end)).toThrow(RangeError);
          expect(() => history.copy(history.start, history.end + 1)).toThrow(RangeError);
        },
      ),
      { numRuns: 300, endOnFailure: true },
    );
  });

  it("gives copies, not its own bytes", () => {
    const history = createHistory(new Uint8Array(4));
    history.push(Uint8Array.of(1, 2, 3));
    history.copy(0, 3).fill(9);
    expect([...history.copy(0, 3)]).toEqual([1, 2, 3]);
  });
});
