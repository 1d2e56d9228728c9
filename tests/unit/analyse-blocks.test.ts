import { readFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { SampleSource } from "../../decoders/sources.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { decode } from "../support/decode.ts";

// One recording of each sample type; how its bytes are cut into blocks must not matter, inside a sample or not.
const names = ["sound-car", "duplicate-identity", "interferer", "two-sensors-colliding", "unknown-layout"];

async function opened(name: string): Promise<{ source: SampleSource; bytes: Uint8Array }> {
  const base = join(import.meta.dirname, "../../samples", name);
  const recording = await openRecording(`${base}.sigmf-meta`);
  if (!recording.ok) throw recording.error;
  // The first fifth is enough for bursts and telegrams.
  const all = readFileSync(`${base}.sigmf-data`);
  return { source: recording.value, bytes: all.subarray(0, 40 * Math.floor(all.length / 200)) };
}

function* cut(bytes: Uint8Array, sizes: readonly number[]): Generator<Uint8Array> {
  // The block is reused, as a reader of files does: whoever keeps it is found out.
  const block = new Uint8Array(Math.max(...sizes));
  for (let at = 0, i = 0; at < bytes.length; i++) {
    const size = Math.min(sizes[i % sizes.length] ?? 1, bytes.length - at);
    block.set(bytes.subarray(at, at + size));
    yield block.subarray(0, size);
    at += size;
  }
}

describe.each(names)("%s", (name) => {
  it("gives the same records however it is cut into blocks", async () => {
    const { source, bytes } = await opened(name);
    const whole = await decode({ ...source, blocks: [bytes] }, builtinLayouts);
    expect(whole.bursts.length).toBeGreaterThan(0);
    const sizes = fc.array(fc.integer({ min: 1, max: 60_000 }), { minLength: 1, maxLength: 5 });
    await fc.assert(
      fc.asyncProperty(sizes, async (blockSizes) => {
        const again = await decode({ ...source, blocks: cut(bytes, blockSizes) }, builtinLayouts);
        expect(again.records).toEqual(whole.records);
      }),
      { numRuns: 4 },
    );
  });
});

it("byte by byte is a way to cut it too", async () => {
  const { source, bytes } = await opened("sound-car");
  const short = bytes.subarray(0, 140_000);
  const whole = await decode({ ...source, blocks: [short] }, builtinLayouts);
  const again = await decode({ ...source, blocks: cut(short, [1]) }, builtinLayouts);
  expect(whole.bursts.length).toBeGreaterThan(0);
  expect(again.records).toEqual(whole.records);
});
