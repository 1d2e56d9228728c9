import { readdirSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { gridFor } from "../../decoders/signal/channeliser.ts";
import { createEar } from "../../decoders/signal/ear.ts";
import { createFollower } from "../../decoders/signal/follow.ts";
import type { HeardBurst } from "../../decoders/signal/heardBurst.ts";
import { createPlainKernels } from "../../decoders/signal/kernels/plainKernels.ts";
import { createTracker, type Track } from "../../decoders/signal/tracks.ts";
import type { SampleType } from "../../decoders/sources.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";

const samples = new URL("../../samples/", import.meta.url).pathname;
const recordings = readdirSync(samples).filter((name) => name.endsWith(".sigmf-meta"));

/** Where each burst lies; its samples are the bytes themselves. */
function placesOf(bursts: readonly HeardBurst[]) {
  return bursts.map(({ startSample, endSample, lowHz, highHz, firstSample, clippedShare, cutByStart, cutByEnd }) => {
    return { startSample, endSample, lowHz, highHz, firstSample, clippedShare, cutByStart, cutByEnd };
  });
}

async function hear(blocks: readonly Uint8Array[], type: SampleType, rate: number, plain: boolean) {
  const ear = plain ? createEar(type, rate, 0, createPlainKernels) : createEar(type, rate, 0);
  const bursts = blocks.flatMap((block) => ear.push(block));
  return { bursts: placesOf([...bursts, ...ear.end()]), quiet: ear.quiet() };
}

describe("an ear with compiled kernels beside one with the plain twins", () => {
  it("there are samples to hear", () => {
    expect(recordings.length).toBeGreaterThan(3);
  });

  it.each(recordings)("hears the same bursts in %s", async (name) => {
    const opened = await openRecording(`${samples}${name}`);
    if (!opened.ok) throw new Error(JSON.stringify(opened.error));
    const source = opened.value;
    const blocks: Uint8Array[] = [];
    for await (const block of source.blocks) blocks.push(block.slice());
    const compiled = await hear(blocks, source.sampleType, source.sampleRateHz, false);
    const plain = await hear(blocks, source.sampleType, source.sampleRateHz, true);
    expect(compiled.bursts).toEqual(plain.bursts);
    expect(compiled.quiet.clippedSamples).toBe(plain.quiet.clippedSamples);
    expect(10 * Math.log10(compiled.quiet.noisePower / plain.quiet.noisePower)).toBeCloseTo(0, 0);
  });

  it.each(["cu8", "ci8", "ci16_le"] as const)("hears the same bursts in random bytes of %s", async (type) => {
    const source = chance(9);
    const bytes = Uint8Array.from({ length: 1_500_000 }, () => 256 * uniform(source));
    const compiled = await hear([bytes], type, 500_000, false);
    const plain = await hear([bytes], type, 500_000, true);
    expect(compiled.bursts).toEqual(plain.bursts);
    expect(compiled.quiet.samples).toBeGreaterThan(300_000);
  });
});

describe("a follower", () => {
  const grid = gridFor(400_000); // 32 channels
  const { channels } = grid;

  it.each([20, 32, 100, 333])("brings the tracks that every row would, in stretches of %i rows", (stretchRows) => {
    const kernels = createPlainKernels({ sampleType: "cu8", grid, rows: 2 * stretchRows, ringBytes: 2 });
    const tracker = createTracker(grid, 0);
    const every = createTracker(grid, 0);
    const follower = createFollower(tracker, kernels, stretchRows);
    const source = chance(stretchRows);
    const random = () => uniform(source);
    const followed: Track[] = [];
    const wanted: Track[] = [];
    let burst = { from: 40, to: 61, channel: 5, power: 4 };
    for (let row = 0; row < 12_000; row += stretchRows) {
      const level = Float32Array.from({ length: channels }, () => 0.9 + 0.2 * random());
      for (let r = 0; r < stretchRows; r++) {
        if (row + r > burst.to) {
          const from = row + r + Math.floor(90 * random());
          const to = from + 4 + Math.floor(30 * random());
          burst = { from, to, channel: Math.floor(channels * random()), power: 0.5 + 3 * random() };
        }
        for (let c = 0; c < channels; c++) {
          let sum = 0;
          for (let a = 0; a < grid.averages; a++) sum -= Math.log(1 - random()) / grid.averages;
          const on = row + r >= burst.from && Math.abs(c - burst.channel) <= 1;
          kernels.power[(stretchRows + r) * channels + c] = on ? sum * (1 + burst.power) : sum;
        }
        const at = (stretchRows + r) * channels;
        wanted.push(...every.step(kernels.power.subarray(at, at + channels), level));
      }
      followed.push(...follower.stretch(stretchRows, level));
      kernels.power.copyWithin(0, stretchRows * channels);
    }
    followed.push(...tracker.end());
    wanted.push(...every.end());
    expect(wanted.length).toBeGreaterThan(20);
    expect(followed).toEqual(wanted);
    expect(tracker.strongest()).toBe(every.strongest());
  });
});
