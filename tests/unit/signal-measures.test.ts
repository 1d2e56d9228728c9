import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { logBessel0 } from "../../decoders/signal/symbolEvidence.ts";
import { type TelegramSignal, telegramSamples } from "../../seeds/telegram-signal.ts";
import { type Decoded, decode, floatSource } from "../support/decode.ts";

const RATE_HZ = 1_000_000;

describe("the logarithm of the Bessel function I0", () => {
  it("agrees with its power series", () => {
    // Abramowitz and Stegun, 9.8.1 and 9.8.2, give the polynomials with an error below 1.6e-7 and 1.9e-7 (from memory).
    for (let x = 0; x <= 40; x += 0.013) {
      let term = 1;
      let sum = 1;
      for (let k = 1; k < 200; k++) {
        term *= (x / 2 / k) ** 2;
        sum += term;
      }
      expect(Math.abs(Math.exp(logBessel0(x) - Math.log(sum)) - 1)).toBeLessThan(2e-7);
    }
  });

  it("grows as e^x/sqrt(2πx) far out, where the function itself would overflow", () => {
    // Next terms of the asymptotic series: 1 + 1/(8x) + 9/(128x²).
    for (const x of [200, 2000, 1e5]) {
      const series = x - 0.5 * Math.log(2 * Math.PI * x) + Math.log(1 + 1 / (8 * x) + 9 / (128 * x * x));
      expect(logBessel0(x)).toBeCloseTo(series, 6);
    }
  });

  it("is the same on both sides of zero", () => {
    for (const x of [0.1, 3.7, 3.8, 90]) expect(logBessel0(-x)).toBe(logBessel0(x));
  });
});

interface Sent {
  readonly signal: TelegramSignal;
  readonly offsetHz: number;
  readonly clockPpm: number;
}

/** A telegram at 20 dB, off its carrier and its clock by what its number says. */
function sent(layout: Layout, seed: number): Sent {
  const offsetHz = 2700 * (seed - 3);
  const clockPpm = 110 * (seed - 3);
  const air = { sampleRateHz: RATE_HZ, ebN0Db: 20, seed, leadSeconds: 0.05, tailSeconds: 0.05 };
  const signal = telegramSamples(layout, { sensor: 0x5a5a5 + 7919 * seed }, { ...air, offsetHz, clockPpm });
  return { signal, offsetHz, clockPpm };
}

function heardOf(layout: Layout, { signal }: Sent, shelf: readonly Layout[]): Promise<Decoded> {
  return decode(floatSource(signal.iq, RATE_HZ, layout.carrierHz[0]!), shelf);
}

const SEEDS = [1, 2, 3, 4, 5];

describe.each(builtinLayouts.map((layout) => [layout.id, layout] as const))(
  "a telegram of %s at 20 dB",
  (_, layout) => {
    const nominalHz = layout.carrierHz[0]!;

    it.each(SEEDS)(
      "is measured: carrier to 200 Hz, deviation to 5 %%, symbol rate to 0.3 %% (seed %i)",
      async (seed) => {
        const one = sent(layout, seed);
        const { bursts, telegrams } = await heardOf(layout, one, builtinLayouts);
        expect(telegrams.map(({ verified }) => verified)).toEqual([true]);
        expect(bursts).toHaveLength(1);
        const burst = bursts[0]!;
        expect(burst.modulation).toBe(layout.modulation);
        expect(Math.abs(burst.carrierHz - nominalHz - one.offsetHz)).toBeLessThan(200);
        expect(Math.abs(telegrams[0]!.carrierHz - nominalHz - one.offsetHz)).toBeLessThan(200);
        expect(Math.abs(burst.symbolRate! / layout.symbolRate / (1 + 1e-6 * one.clockPpm) - 1)).toBeLessThan(0.003);
        if (layout.deviationHz === undefined) expect(burst.deviationHz).toBeNull();
        else expect(Math.abs(burst.deviationHz! / layout.deviationHz - 1)).toBeLessThan(0.05);
        expect(Math.abs(telegrams[0]!.atSeconds - one.signal.startSeconds)).toBeLessThan(5e-5);
      },
    );

    it("is measured without its layout too, its deviation and carrier more roughly", async () => {
      for (const seed of SEEDS) {
        const one = sent(layout, seed);
        const { bursts, telegrams } = await heardOf(layout, one, []);
        expect(telegrams).toEqual([]);
        expect(bursts).toHaveLength(1);
        const burst = bursts[0]!;
        expect(burst.modulation).toBe(layout.modulation);
        expect(Math.abs(burst.carrierHz - nominalHz - one.offsetHz)).toBeLessThan(600);
        expect(Math.abs(burst.symbolRate! / layout.symbolRate - 1)).toBeLessThan(0.01);
        if (layout.deviationHz) expect(Math.abs(burst.deviationHz! / layout.deviationHz - 1)).toBeLessThan(0.2);
        expect(Math.abs(burst.atSeconds - one.signal.startSeconds)).toBeLessThan(0.0008);
      }
    });
  },
);
