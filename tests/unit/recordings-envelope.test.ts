import { readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { toFloats } from "../../decoders/signal/samples.ts";
import { SAMPLE_TYPES, type SampleType } from "../../decoders/sources.ts";
import { signalColumns } from "../../server/http/signal.ts";
import {
  BLOCK_SAMPLES,
  blockSamples,
  createEnvelope,
  HEADER_BYTES,
  levelSizes,
} from "../../server/recordings/envelope.ts";
import { sampleBytes } from "../../server/recordings/recording.ts";
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
  const sampleCount = bytes.length / (sampleType === "cu8" ? 2 : 8);
  const makeEnvelope = () => written(bytes, sampleType, envelope);
  return { data, fromByte: 0, envelope, sampleType, sampleCount, makeEnvelope };
}

/** The envelope of samples, given in pieces of so many bytes. */
async function written(bytes: Uint8Array, type: SampleType, path: string, pieceBytes = bytes.length): Promise<void> {
  rmSync(path, { force: true });
  const maker = await createEnvelope(type, bytes.length / sampleBytes(type), path);
  for (let at = 0; at < bytes.length; at += pieceBytes) await maker.take(bytes.subarray(at, at + pieceBytes));
  await maker.end();
  await maker.close();
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
      const path = join(folder, "made");
      await written(new Uint8Array(2 * n), "cu8", path);
      const pairs = levelSizes(n).reduce((sum, size) => sum + size, 0);
      expect(statSync(path).size).toBe(HEADER_BYTES + 8 * pairs);
      expect(levelSizes(n).at(-1)).toBe(1);
    },
  );

  it("is the same however its samples are cut into blocks", async () => {
    const bytes = spiky(320_000, 5);
    await written(bytes, "cu8", join(folder, "whole"));
    await written(bytes, "cu8", join(folder, "cut"), 777);
    expect(readFileSync(join(folder, "cut")).equals(readFileSync(join(folder, "whole")))).toBe(true);
  });

  it("is the plain reckoning of every level, whatever the type", async () => {
    for (const type of SAMPLE_TYPES) {
      const bytes = spiky(40_001 * sampleBytes(type), 11).subarray(0, 40_001 * sampleBytes(type));
      if (type === "cf32_le") {
        const floats = Float32Array.from({ length: 2 * 40_001 }, (_, i) => Math.sin(i * i) * (i === 9000 ? 3 : 0.1));
        bytes.set(new Uint8Array(floats.buffer));
      }
      const path = join(folder, `plain-${type}`);
      await written(bytes, type, path);
      const file = readFileSync(path);
      const found = new Float32Array(file.buffer.slice(file.byteOffset + HEADER_BYTES, file.byteOffset + file.length));
      const iq = new Float32Array(2 * 40_001);
      toFloats(type, bytes, iq);
      const levels = Array.from({ length: 40_001 }, (_, i) => Math.hypot(iq[2 * i]!, iq[2 * i + 1]!));
      const wanted = levelSizes(40_001).flatMap((size, level) =>
        Array.from({ length: size }, (_, block) => {
          const part = levels.slice(block * blockSamples(level), (block + 1) * blockSamples(level));
          return [Math.min(...part), Math.max(...part)];
        }).flat(),
      );
      expect(found.length, type).toBe(wanted.length);
      for (const [i, level] of wanted.entries()) expect(Math.abs(found[i]! - level), `${type} ${i}`).toBeLessThan(1e-6);
    }
  });

  it("holds little however long the recording is", async () => {
    const maker = await createEnvelope("ci8", 2 ** 31, join(folder, "long"));
    expect(statSync(join(folder, "long")).size).toBe(0);
    await maker.take(new Uint8Array(2 ** 22));
    // Half of what came is out already: it is not gathered.
    expect(statSync(join(folder, "long")).size).toBeGreaterThan(2 ** 14);
    await expect(maker.end()).rejects.toThrow("was given 2097152");
    await maker.close();
  });

  it("has blocks four times as long on each level", () => {
    expect([0, 1, 2].map(blockSamples)).toEqual([256, 1024, 4096]);
  });
});
