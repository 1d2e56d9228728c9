import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { gridFor } from "../../decoders/signal/channeliser.ts";
import type { Kernels } from "../../decoders/signal/kernels/kernels.ts";
import { createPlainKernels } from "../../decoders/signal/kernels/plainKernels.ts";
import { createWasmKernels } from "../../decoders/signal/kernels/wasmKernels.ts";
import { bytesPerSample, roundingNoise } from "../../decoders/signal/samples.ts";
import type { SampleType } from "../../decoders/sources.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { compiledKernels } from "../../server/kernels.mjs";

const TYPES: readonly SampleType[] = ["cu8", "ci8", "ci16_le", "cf32_le"];
// 32 to 8192 channels: both ways the transform can end, and the whole-number path at a megasample.
const RATES = [250_000, 1_024_000, 2_048_000, 2_400_000, 10_000_000, 100_000_000];
const STEPS = 6;

/** Noise of half a step, of a tenth of full scale, any bytes at all, zeros, and a square at full scale. */
const INPUTS = ["faint", "noise", "random", "zeros", "square"] as const;

function fill(ring: Uint8Array, type: SampleType, input: (typeof INPUTS)[number], seed: number): void {
  const source = chance(seed);
  const random = () => uniform(source);
  if (input === "zeros") return;
  if (input === "random" && type !== "cf32_le") {
    for (let i = 0; i < ring.length; i++) ring[i] = Math.floor(256 * random());
    return;
  }
  const view = new DataView(ring.buffer, ring.byteOffset, ring.byteLength);
  const parts = (2 * ring.length) / bytesPerSample(type);
  const amplitude = input === "faint" ? 0.5 / 128 : input === "random" ? 1.2 : 0.1;
  for (let i = 0; i < parts; i++) {
    const gauss = Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const value = input === "square" ? (i & 16 ? 1 : -1) : amplitude * gauss;
    const cut = (scale: number, low: number, high: number) => Math.max(low, Math.min(high, Math.round(value * scale)));
    if (type === "cu8") ring[i] = cut(127.5, -128, 127) + 128;
    else if (type === "ci8") view.setInt8(i, cut(128, -128, 127));
    else if (type === "ci16_le") view.setInt16(2 * i, cut(32768, -32768, 32767), true);
    else view.setFloat32(4 * i, value, true);
  }
}

function pair(type: SampleType, rate: number): readonly [Kernels, Kernels] {
  const grid = gridFor(rate);
  const ringBytes = STEPS * grid.stepSamples * bytesPerSample(type);
  const size = { sampleType: type, grid, rows: STEPS, ringBytes };
  const compiled = createWasmKernels(size);
  if (!compiled) throw new Error("this Node cannot run the compiled kernels");
  return [compiled, createPlainKernels(size)];
}

describe.each(TYPES)("the compiled channeliser of %s beside its plain twin", (type) => {
  it.each(RATES)("gives the same powers at %i samples a second", (rate) => {
    const [compiled, plain] = pair(type, rate);
    const { channels } = gridFor(rate);
    for (const input of INPUTS) {
      fill(compiled.ring, type, input, rate);
      plain.ring.set(compiled.ring);
      expect(compiled.channelise(0, STEPS, 0), input).toBe(plain.channelise(0, STEPS, 0));
      // Sixteen bits round: a hundredth of an amplitude, and noise of their own 5 dB under that of rounding to bytes.
      const whole = channels === 64 && bytesPerSample(type) === 2;
      const [share, own] = whole ? [0.01, 2 * Math.sqrt(roundingNoise(type) / 3)] : [2e-5, 3e-6];
      let worst = 0;
      for (let i = 0; i < plain.power.length; i++) {
        const wanted = Math.sqrt(plain.power[i]!);
        worst = Math.max(worst, Math.abs(Math.sqrt(compiled.power[i]!) - wanted) / (share * wanted + own));
      }
      expect(worst, input).toBeLessThan(1);
    }
  });

  it("puts steps where it is told, and takes them from there", () => {
    const [compiled, plain] = pair(type, 1_024_000);
    const { channels, stepSamples } = gridFor(1_024_000);
    fill(compiled.ring, type, "noise", 3);
    plain.ring.set(compiled.ring);
    for (const kernels of [compiled, plain]) {
      kernels.channelise(0, STEPS, 0);
      const fourth = kernels.power.slice(3 * channels, 4 * channels);
      kernels.channelise(3 * stepSamples * bytesPerSample(type), 1, 1);
      expect(kernels.power.slice(channels, 2 * channels)).toEqual(fourth);
    }
  });
});

describe.each([32, 64, 256])("the compiled statistics over %i channels beside their plain twin", (channels) => {
  const rows = 57;
  const grid = { ...gridFor(12_000 * channels), channels };
  const size = { sampleType: "cu8", grid, rows, ringBytes: 2 * grid.stepSamples } as const;

  it("rank alike, and find the same peaks", () => {
    const compiled = createWasmKernels(size)!;
    const plain = createPlainKernels(size);
    const source = chance(channels);
    const random = () => uniform(source);
    for (let i = 0; i < plain.power.length; i++) plain.power[i] = i % 5 === 0 ? 0 : -1e-3 * Math.log(1 - random());
    compiled.power.set(plain.power);
    for (const rank of [0, 14, 30, 49]) {
      expect(compiled.ranked(2, 50, rank)).toEqual(plain.ranked(2, 50, rank));
    }
    const level = Float32Array.from({ length: channels }, (_, c) => 1e-3 * (1 + c / channels));
    const thresholds = [8, 14, 25] as const;
    const here = compiled.peaks(2, 50, level, thresholds);
    const there = plain.peaks(2, 50, level, thresholds);
    expect([...here.subarray(0, 6)]).toEqual(new Array(6).fill(Number.POSITIVE_INFINITY));
    for (let i = 6; i < 100; i++) expect(Math.abs(here[i]! / there[i]! - 1), `value ${i}`).toBeLessThan(1e-5);
    const long = compiled.longPeaks(2, 50, level, thresholds);
    const wanted = plain.longPeaks(2, 50, level, thresholds);
    expect([long.length, wanted.length]).toEqual([12, 12]);
    expect([...long.subarray(0, 3)]).toEqual([0, 0, 0]);
    for (let i = 3; i < 12; i++) expect(Math.abs(long[i]! / wanted[i]! - 1), `value ${i}`).toBeLessThan(1e-5);
  });
});

describe("the compiled bytes", () => {
  it("are those of the sources beside them", async () => {
    const held = readFileSync(new URL("../../decoders/signal/kernels/compiled.ts", import.meta.url), "utf8");
    expect(held).toBe(await compiledKernels());
  });
});
