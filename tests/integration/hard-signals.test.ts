import { expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { measuredLayout } from "../support/measured-layouts.ts";
import { heard, type Trial } from "../support/sensitivity.ts";

// What real senders and receivers do to a telegram, at a comfortable level. Seeds are fixed.

const fsk = measuredLayout("fsk");
const ask = measuredLayout("ask");
const slowAsk = builtinLayouts.find(({ id }) => id === "ferry-shuttle")!;
const nrz = builtinLayouts.find(({ id }) => id === "ice-lorry")!;
const biphase = builtinLayouts.find(({ id }) => id === "crane-tug")!;

const TELEGRAMS = 12;

const hard: [string, readonly (typeof fsk)[], Partial<Trial>][] = [
  ["a carrier that drifts by 10 kHz", [fsk, ask, slowAsk, nrz, biphase], { driftHz: 10_000 }],
  ["a clock off by up to 3 %", [fsk, ask, nrz], { clockPpm: 30_000 }],
  ["a deviation a fifth too small", [fsk, nrz, biphase], { deviationFactor: 0.8 }],
  ["a deviation a fifth too large", [fsk, nrz, biphase], { deviationFactor: 1.2 }],
  ["a carrier off by up to 60 kHz", [fsk, ask], { offsetHz: 60_000, sampleRateHz: 1_024_000 }],
  ["edges rounded by a Gaussian filter of BT 0.5", [fsk, nrz, biphase], { shape: { bt: 0.5 } }],
  ["an off only 10 dB below the on", [ask, slowAsk], { shape: { extinctionDb: 10 } }],
  ["ramps of 20 µs", [ask, slowAsk], { shape: { rampSeconds: 20e-6 } }],
];

it.each(hard)("%s is read at 15 dB", async (_, layouts, trial) => {
  for (const layout of layouts) {
    const air = { layouts: [layout], ...trial };
    const { right, wrong } = await heard(layout, { ebN0Db: 15, telegrams: TELEGRAMS, seed: 31, ...air });
    expect(wrong, layout.id).toBe(0);
    expect(right, layout.id).toBeGreaterThanOrEqual(TELEGRAMS - 1);
  }
});

it("noise of half a step of the converter hides nothing at 16 dB", async () => {
  for (const layout of [fsk, ask]) {
    const air = { layouts: [layout], noiseSteps: 0.5 };
    const { right, wrong } = await heard(layout, { ebN0Db: 16, telegrams: TELEGRAMS, seed: 32, ...air });
    expect(wrong, layout.id).toBe(0);
    expect(right, layout.id).toBeGreaterThanOrEqual(TELEGRAMS - 1);
  }
});
