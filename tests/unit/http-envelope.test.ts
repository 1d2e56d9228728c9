import { rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { SampleType } from "../../decoders/sources.ts";
import { BLOCK_SAMPLES, blockSamples, createEnvelope, HEADER_BYTES, levelSizes } from "../../server/http/envelope.ts";
import { signalColumns } from "../../server/http/signal.ts";
import { temporaryFolder } from "../support/folder.ts";

let folder: string;
beforeAll(() => {
  folder = temporaryFolder("envelope");
});
afterAll(() => rmSync(folder, { recursive: true }));

/** Levels of cu8 samples, worked out one by one. */
function levelsOf(bytes: Uint8Array): number[] {
  return Array.from({ length: bytes.length / 2 }, (_, i) =>
    Math.hypot((bytes[2 * i]! - 127.5) / 127.5, (bytes[2 * i + 1]! - 127.5) / 127.5),
  );
}

async function filesOf(bytes: Uint8Array, sampleType: SampleType = "cu8") {
  const data = join(folder, "data");
  const envelope = join(folder, "envelope");
  writeFileSync(data, bytes);
  rmSync(envelope, { force: true });
  return { data, envelope, sampleType, sampleCount: bytes.length / (sampleType === "cu8" ? 2 : 8) };
}

/** Bytes that are small but for a few, so that a lost one is seen. */
function spiky(sampleCount: number, seed: number): Uint8Array {
  const bytes = new Uint8Array(2 * sampleCount);
  let state = seed;
  for (let i = 0; i < bytes.length; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    bytes[i] = state >>> 24 === 7 ? state >>> 16 : 120 + (state >>> 28);
  }
  return bytes;
}

describe("columns of a signal", () => {
  it("lose no sample, and show nothing from more than a quarter of a column away", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 1, max: 60_000 }),
        fc.nat(),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0.0001, max: 1, noNaN: true }),
        fc.integer({ min: 1, max: 40 }),
        async (sampleCount, seed, start, share, columns) => {
          const bytes = spiky(sampleCount, seed);
          const levels = levelsOf(bytes);
          const fromSample = start * (sampleCount - 1);
          const toSample = Math.min(sampleCount, fromSample + Math.max(0.5, share * sampleCount));
          const { least, most } = await signalColumns(await filesOf(bytes), { fromSample, toSample, columns });
          const per = (toSample - fromSample) / columns;
          expect([least.length, most.length]).toEqual([columns, columns]);
          for (let column = 0; column < columns; column++) {
            const begin = fromSample + column * per;
            const first = Math.min(sampleCount - 1, Math.floor(begin));
            const inside = levels.slice(first, Math.max(first + 1, Math.floor(begin + per)));
            const around = levels.slice(
              Math.max(0, Math.floor(begin - per / 4) - 1),
              Math.max(first + 1, Math.ceil(begin + 1.25 * per) + 1),
            );
            // Five digits are kept.
            expect(most[column]).toBeGreaterThanOrEqual(Math.max(...inside) * (1 - 1e-4));
            expect(least[column]).toBeLessThanOrEqual(Math.min(...inside) * (1 + 1e-4));
            expect(most[column]).toBeLessThanOrEqual(Math.max(...around) * (1 + 1e-4));
            expect(least[column]).toBeGreaterThanOrEqual(Math.min(...around) * (1 - 1e-4));
          }
        },
      ),
      { seed: 1, numRuns: 60 },
    );
  });

  it("keep a single strong sample visible however far one looks away", async () => {
    const bytes = new Uint8Array(2 * 300_000).fill(127);
    bytes.set([255, 255], 2 * 123_457);
    const files = await filesOf(bytes);
    for (const columns of [1, 7, 100, 4096]) {
      const { most } = await signalColumns(files, { fromSample: 0, toSample: 300_000, columns });
      const at = most.findIndex((level) => level > 1);
      expect(at).toBe(Math.floor((123_457 / 300_000) * columns));
    }
  });

  it("of floats are levels too", async () => {
    const floats = new Float32Array(2 * 5000).fill(0.3);
    const files = await filesOf(new Uint8Array(floats.buffer), "cf32_le");
    const { least, most } = await signalColumns(files, { fromSample: 0, toSample: 5000, columns: 2 });
    expect([least, most]).toEqual([
      [0.42426, 0.42426],
      [0.42426, 0.42426],
    ]);
  });
});

describe("the envelope file", () => {
  it.each([1, BLOCK_SAMPLES, BLOCK_SAMPLES + 1, 4 * BLOCK_SAMPLES, 100_000])(
    "of %i samples has all levels",
    async (n) => {
      const maker = createEnvelope("cu8");
      maker.take(new Uint8Array(2 * n));
      const path = join(folder, "made");
      await maker.write(path);
      const pairs = levelSizes(n).reduce((sum, size) => sum + size, 0);
      expect(statSync(path).size).toBe(HEADER_BYTES + 8 * pairs);
      expect(levelSizes(n).at(-1)).toBe(1);
    },
  );

  it("is the same however its samples are cut into blocks", async () => {
    const bytes = spiky(20_000, 5);
    const [whole, cut] = [createEnvelope("cu8"), createEnvelope("cu8")];
    whole.take(bytes);
    for (let at = 0; at < bytes.length; at += 2 * 777) cut.take(bytes.subarray(at, at + 2 * 777));
    await whole.write(join(folder, "whole"));
    await cut.write(join(folder, "cut"));
    const { readFileSync } = await import("node:fs");
    expect(readFileSync(join(folder, "cut")).equals(readFileSync(join(folder, "whole")))).toBe(true);
  });

  it("has blocks four times as long on each level", () => {
    expect([0, 1, 2].map(blockSamples)).toEqual([256, 1024, 4096]);
  });
});
