import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { Baseband } from "../../decoders/signal/baseband.ts";
import { measureDrift, straightened } from "../../decoders/signal/drift.ts";
import { trackedEvidence } from "../../decoders/signal/phaseTracking.ts";
import type { TrackedStretch } from "../../decoders/signal/phasors.ts";
import { toneSums } from "../../decoders/signal/tones.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { measuredLayout } from "../support/measured-layouts.ts";

// Start, clock and frequencies are given, so that only the tracking itself is tried.

const goalFsk = measuredLayout("fsk");
const goalAsk = measuredLayout("ask");
const RATE_HZ = 500_000;
const NOISE_POWER = 1e-3;
const TELEGRAMS = 12;
const raw = { sensor: 0x1f35a, rest: 0xc0ffee12 };

interface Trial {
  readonly ebN0Db: number;
  readonly driftHz?: number;
  readonly deviationFactor?: number;
  /** Of a symbol. */
  readonly startOff?: number;
  readonly pairsEarlier?: number | undefined;
}

function basebandOf(iq: Float32Array): Baseband {
  const count = iq.length / 2;
  const re = Float64Array.from({ length: count }, (_, i) => iq[2 * i]!);
  const im = Float64Array.from({ length: count }, (_, i) => iq[2 * i + 1]!);
  return { re, im, rateHz: RATE_HZ, centreHz: 0, originSample: 0, decimation: 1 };
}

function evidenceOf(layout: Layout, trial: Trial, seed: number) {
  const { ebN0Db, driftHz = 0, deviationFactor = 1, startOff = 0 } = trial;
  const sender = layout.deviationHz ? { ...layout, deviationHz: deviationFactor * layout.deviationHz } : layout;
  const { iq, bits, startSeconds } = telegramSamples(
    sender,
    layout.fields.some(({ name }) => name === "rest") ? raw : {},
    { sampleRateHz: RATE_HZ, driftHz, offsetHz: -driftHz / 2, ebN0Db, seed, leadSeconds: 0.01, tailSeconds: 0.01 },
  );
  const symbols = frameSymbols(layout, bits);
  const before = layout.preamble.symbols.length * layout.preamble.repeat + layout.sync.symbols.length;
  const base = basebandOf(iq);
  const period = RATE_HZ / layout.symbolRate;
  const deviationHz = layout.deviationHz;
  const known = Int8Array.from(symbols.subarray(before - 40, before), (symbol) => 2 * symbol - 1);
  const earlier = "pairsEarlier" in trial ? trial.pairsEarlier : 0;
  const stretch: TrackedStretch = {
    // A sample stands for the interval about its moment.
    at: startSeconds * RATE_HZ + 0.5 + (before - 40 + startOff) * period,
    period,
    rateHz: RATE_HZ,
    known,
    count: symbols.length - before,
    inside: symbols.length - before,
    noise: NOISE_POWER * period,
    pairsFrom: earlier === undefined ? undefined : known.length - earlier,
  };
  const high = toneSums(base, deviationHz ?? 0);
  const low = deviationHz === undefined ? undefined : toneSums(base, -deviationHz);
  const evidence = trackedEvidence({ high, low, threshold: 0, period }, stretch);
  return { evidence: evidence?.subarray(known.length), sent: symbols.subarray(before) };
}

/** Over several telegrams: mean evidence for what was sent, and pairs of symbols that were taken for the other one. */
function tracked(layout: Layout, trial: Trial): { mean: number; wrong: number; pairs: number } {
  let sum = 0;
  let symbols = 0;
  let wrong = 0;
  for (let seed = 1; seed <= TELEGRAMS; seed++) {
    const { evidence, sent } = evidenceOf(layout, trial, seed);
    for (let j = 0; j + 1 < sent.length; j += 2) {
      const toward = (k: number) => (2 * sent[k]! - 1) * evidence![k]!;
      sum += toward(j) + toward(j + 1);
      symbols += 2;
      if (toward(j) + toward(j + 1) < 0) wrong++;
    }
  }
  return { mean: sum / symbols, wrong, pairs: symbols / 2 };
}

describe("evidence with the phase tracked", () => {
  it("of FSK is on average 2·Es/N0 a symbol, as coherent detection of orthogonal signals has it", () => {
    // Two symbols a bit: 2·Es/N0 = Eb/N0. What the phase is told wrong by costs a little.
    for (const ebN0Db of [8, 10]) {
      const ratio = tracked(goalFsk, { ebN0Db }).mean / 10 ** (ebN0Db / 10);
      expect(ratio, `${ebN0Db} dB`).toBeGreaterThan(0.85);
      expect(ratio, `${ebN0Db} dB`).toBeLessThan(1.1);
    }
  });

  it("of ASK is on average as much, its on being twice the mean", () => {
    const ratio = tracked(goalAsk, { ebN0Db: 9 }).mean / 10 ** 0.9;
    expect(ratio).toBeGreaterThan(0.85);
    expect(ratio).toBeLessThan(1.1);
  });

  // Coherent: Q(√g) = 2.4e-3 of the 960 bits at 9 dB, that is 2; noncoherent ½·exp(−g/2) = 9.4e-3, that is 9.
  const hard: [string, Layout, Trial][] = [
    ["as it should be", goalFsk, { ebN0Db: 9 }],
    ["a deviation off by 5 %", goalFsk, { ebN0Db: 9, deviationFactor: 1.05 }],
    ["a deviation off by 15 %", goalFsk, { ebN0Db: 9, deviationFactor: 0.85 }],
    ["a start off by a tenth of a symbol", goalFsk, { ebN0Db: 9, startOff: 0.1 }],
    ["10 kHz of drift", goalFsk, { ebN0Db: 9, driftHz: 10_000 }],
    ["ASK as it should be", goalAsk, { ebN0Db: 9 }],
    ["ASK with 10 kHz of drift", goalAsk, { ebN0Db: 9, driftHz: -10_000 }],
  ];
  it.each(hard)("errs less at 9 dB than the best detector without phase: %s", (_, layout, trial) => {
    const { wrong, pairs } = tracked(layout, trial);
    expect(pairs).toBe(80 * TELEGRAMS);
    expect(wrong).toBeLessThan(9);
  });

  it("of biphase takes the halves about each bit's boundary for a pair", () => {
    const layout = builtinLayouts.find(({ id }) => id === "crane-tug")!;
    let wrong = 0;
    for (let seed = 1; seed <= TELEGRAMS; seed++) {
      const { evidence, sent } = evidenceOf(layout, { ebN0Db: 9, pairsEarlier: 1 }, seed);
      for (let j = 1; j + 1 < sent.length; j += 2) {
        if ((2 * sent[j]! - 1) * (evidence![j]! - evidence![j + 1]!) < 0) wrong++;
      }
    }
    // 852 pairs: 8 by ½·exp(−g/2).
    expect(wrong).toBeLessThan(8);
  });

  it("is refused for FSK without pairs, and where there are too few symbols", () => {
    const layout = builtinLayouts.find(({ id }) => id === "ice-lorry")!;
    expect(evidenceOf(layout, { ebN0Db: 20, pairsEarlier: undefined }, 1).evidence).toBeUndefined();
    const base = basebandOf(new Float32Array(2000));
    const tone = toneSums(base, 0);
    const few = { at: 0, period: 10, rateHz: RATE_HZ, known: new Int8Array(2), count: 8, inside: 8, noise: 1 };
    const detector = { high: tone, low: undefined, threshold: 0, period: 10 };
    expect(trackedEvidence(detector, { ...few, pairsFrom: undefined })).toBeUndefined();
  });
});

describe("the drift of a burst", () => {
  it.each([
    ["FSK", goalFsk],
    ["ASK", goalAsk],
    ["slow ASK", builtinLayouts.find(({ id }) => id === "ferry-shuttle")!],
  ] as const)("is measured to a tenth of a symbol rate at 12 dB: %s", (_, layout) => {
    for (const driftHz of [0, 5000, -10_000]) {
      const air = { sampleRateHz: RATE_HZ, ebN0Db: 12, seed: 3, leadSeconds: 0.02, tailSeconds: 0.02 };
      const { iq } = telegramSamples(layout, {}, { ...air, driftHz, offsetHz: 4000 });
      const base = basebandOf(iq);
      const stretch = { from: 0.02 * RATE_HZ, to: base.re.length - 0.02 * RATE_HZ };
      const measured = measureDrift(base, stretch, layout.symbolRate / 2);
      expect(Math.abs(measured - driftHz)).toBeLessThan(0.1 * layout.symbolRate);
      const left = measureDrift(straightened(base, stretch, measured), stretch, layout.symbolRate / 2);
      expect(Math.abs(left)).toBeLessThan(0.05 * layout.symbolRate);
    }
  });

  it("of nothing is none", () => {
    expect(measureDrift(basebandOf(new Float32Array(2 * 3000)), { from: 0, to: 3000 }, 5000)).toBe(0);
    expect(measureDrift(basebandOf(new Float32Array(2 * 60)), { from: 0, to: 60 }, 5000)).toBe(0);
  });
});
