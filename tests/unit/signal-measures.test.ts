import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { gridFor } from "../../decoders/signal/channeliser.ts";
import { createEar } from "../../decoders/signal/ear.ts";
import { createHistory } from "../../decoders/signal/history.ts";
import { logBessel0 } from "../../decoders/signal/symbolEvidence.ts";
import { addNoise, chance } from "../../seeds/noise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { decode, floatSource } from "../support/decode.ts";

describe("the logarithm of the Bessel function I0", () => {
  it("agrees with its power series", () => {
    for (let x = 0; x <= 30; x += 0.37) {
      let term = 1;
      let sum = 1;
      for (let k = 1; k < 200; k++) {
        term *= (x / 2 / k) ** 2;
        sum += term;
      }
      expect(Math.abs(Math.exp(logBessel0(x) - Math.log(sum)) - 1)).toBeLessThan(3e-7);
    }
  });

  it("grows as e^x/sqrt(2πx) far out, where the function itself would overflow", () => {
    // Next terms of the asymptotic series: 1 + 1/(8x) + 9/(128x²).
    for (const x of [200, 2000, 1e5]) {
      const series = x - 0.5 * Math.log(2 * Math.PI * x) + Math.log(1 + 1 / (8 * x) + 9 / (128 * x * x));
      expect(logBessel0(x)).toBeCloseTo(series, 6);
    }
  });
});

describe.each(builtinLayouts.map((layout) => [layout.id, layout] as const))("a burst of %s at 22 dB", (_, layout) => {
  it("is measured without its layout: keying, carrier and symbol rate", async () => {
    for (const seed of [1, 2, 3]) {
      const offsetHz = 3000 * (seed - 2);
      const signal = telegramSamples(
        layout,
        { sensor: 0x5a5a5 },
        {
          sampleRateHz: 1_000_000,
          offsetHz,
          clockPpm: 150,
          ebN0Db: 22,
          seed,
          leadSeconds: 0.05,
          tailSeconds: 0.05,
        },
      );
      const { bursts } = await decode(floatSource(signal.iq, 1_000_000, layout.carrierHz[0]!), []);
      expect(bursts).toHaveLength(1);
      const [burst] = bursts;
      expect(burst!.modulation).toBe(layout.modulation);
      expect(Math.abs(burst!.symbolRate! / (layout.symbolRate * 1.00015) - 1)).toBeLessThan(0.003);
      expect(Math.abs(burst!.carrierHz - layout.carrierHz[0]! - offsetHz)).toBeLessThan(1500);
      expect(Math.abs(burst!.atSeconds - signal.startSeconds)).toBeLessThan(0.0008);
    }
  });

  it("is measured well once its frame is read", async () => {
    const signal = telegramSamples(
      layout,
      { sensor: 0x3c3c3 },
      {
        sampleRateHz: 1_000_000,
        offsetHz: 4321,
        clockPpm: -200,
        ebN0Db: 22,
        seed: 8,
        leadSeconds: 0.05,
        tailSeconds: 0.05,
      },
    );
    const { bursts, telegrams } = await decode(floatSource(signal.iq, 1_000_000, layout.carrierHz[0]!), builtinLayouts);
    expect(telegrams.map(({ verified }) => verified)).toEqual([true]);
    expect(Math.abs(telegrams[0]!.carrierHz - layout.carrierHz[0]! - 4321)).toBeLessThan(250);
    expect(Math.abs(telegrams[0]!.atSeconds - signal.startSeconds)).toBeLessThan(3e-5);
    expect(Math.abs(bursts[0]!.symbolRate! / (layout.symbolRate * 0.9998) - 1)).toBeLessThan(0.0005);
    if (layout.deviationHz) expect(Math.abs(bursts[0]!.deviationHz! / layout.deviationHz - 1)).toBeLessThan(0.02);
  });
});

describe("an ear on noise alone", () => {
  it("hears hardly a burst in 40 seconds", () => {
    const ear = createEar("cf32_le", 500_000, 0);
    const random = chance(77);
    let bursts = 0;
    for (let n = 0; n < 160; n++) {
      const iq = new Float64Array(2 * 125_000);
      addNoise(iq, 1e-3, random);
      bursts += ear.push(new Uint8Array(Float32Array.from(iq).buffer)).length;
    }
    bursts += ear.end().length;
    expect(ear.quiet().samples).toBeGreaterThan(19_990_000);
    expect(10 * Math.log10(ear.quiet().noisePower)).toBeCloseTo(-30, 0);
    expect(bursts).toBeLessThanOrEqual(2);
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
        (capacity, pieces) => {
          const history = createHistory(capacity);
          for (const piece of pieces) history.push(piece);
          const all = Uint8Array.from(pieces.flatMap((piece) => [...piece]));
          expect(history.end).toBe(all.length);
          expect(history.start).toBe(Math.max(0, all.length - capacity));
          expect(history.copy(history.start, history.end)).toEqual(all.subarray(history.start));
          if (history.start > 0) expect(() => history.copy(history.start - 1, history.end)).toThrow(RangeError);
        },
      ),
      { numRuns: 200, endOnFailure: true },
    );
  });
});
