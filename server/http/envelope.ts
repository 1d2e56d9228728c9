import { randomUUID } from "node:crypto";
import { open, rename, rm } from "node:fs/promises";
import { toFloats } from "../../decoders/signal/samples.ts";
import type { SampleType } from "../../decoders/sources.ts";
import { sampleBytes } from "../recordings/recording.ts";

// The level |x| of a recording as least and most over blocks of 256 samples, of 1024, and so on up to one block for
// all: a picture of any stretch is then drawn from some thousand pairs, however long the recording is.
//
// The file: "WGE1", 4 bytes of nothing, the sample count as a 64-bit number, then level after level its pairs as 32-bit
// floats; all little-endian. Made from the samples, so it may be made anew at any time.

/** Samples in a block of the lowest level. */
export const BLOCK_SAMPLES = 256;
/** Blocks of a level in one of the level above. */
const FACTOR = 4;
export const HEADER_BYTES = 16;

/** Takes the samples of a recording as they pass. */
export interface EnvelopeMaker {
  /** Whole samples, in order. */
  readonly take: (bytes: Uint8Array) => void;
  /** Writes the file; it is there whole or not at all. */
  readonly write: (path: string) => Promise<void>;
}

export function createEnvelope(type: SampleType): EnvelopeMaker {
  const lowest = growing();
  let floats = new Float32Array(0);
  let sampleCount = 0;
  let inBlock = 0;
  let least = Number.POSITIVE_INFINITY;
  let most = 0;
  return {
    take(bytes) {
      const count = bytes.length / sampleBytes(type);
      if (floats.length < 2 * count) floats = new Float32Array(2 * count);
      toFloats(type, bytes, floats);
      for (let i = 0; i < count; i++) {
        const re = floats[2 * i]!;
        const im = floats[2 * i + 1]!;
        const power = re * re + im * im; // the root is taken once a block: it changes no order
        if (power < least) least = power;
        if (power > most) most = power;
        if (++inBlock < BLOCK_SAMPLES) continue;
        lowest.push(Math.sqrt(least), Math.sqrt(most));
        inBlock = 0;
        least = Number.POSITIVE_INFINITY;
        most = 0;
      }
      sampleCount += count;
    },
    async write(path) {
      if (inBlock > 0) lowest.push(Math.sqrt(least), Math.sqrt(most));
      const header = Buffer.alloc(HEADER_BYTES);
      header.write("WGE1", 0, "latin1");
      header.writeBigUInt64LE(BigInt(sampleCount), 8);
      // Two may write the same one at once, where both found it missing.
      const written = `${path}.${randomUUID()}`;
      try {
        await writeLevels(written, header, lowest.values());
        await rename(written, path);
      } catch (error) {
        await rm(written, { force: true });
        throw error;
      }
    },
  };
}

async function writeLevels(path: string, header: Uint8Array, lowest: Float32Array): Promise<void> {
  const file = await open(path, "wx");
  try {
    await file.writeFile(header);
    let level = lowest;
    for (;;) {
      await file.writeFile(bytesOf(level));
      if (level.length <= 2) break;
      level = levelAbove(level);
    }
    await file.sync();
  } finally {
    await file.close();
  }
}

/** How many pairs each level has, the lowest first. */
export function levelSizes(sampleCount: number): number[] {
  const sizes = [Math.ceil(sampleCount / BLOCK_SAMPLES)];
  for (let size = sizes[0] ?? 0; size > 1; ) {
    size = Math.ceil(size / FACTOR);
    sizes.push(size);
  }
  return sizes;
}

/** Samples in a block of a level. */
export function blockSamples(level: number): number {
  return BLOCK_SAMPLES * FACTOR ** level;
}

function levelAbove(pairs: Float32Array): Float32Array {
  const blocks = pairs.length / 2;
  const above = new Float32Array(2 * Math.ceil(blocks / FACTOR));
  for (let block = 0; block < blocks; block++) {
    const at = 2 * Math.floor(block / FACTOR);
    const isFirst = block % FACTOR === 0;
    above[at] = isFirst ? pairs[2 * block]! : Math.min(above[at]!, pairs[2 * block]!);
    above[at + 1] = isFirst ? pairs[2 * block + 1]! : Math.max(above[at + 1]!, pairs[2 * block + 1]!);
  }
  return above;
}

function growing(): { readonly push: (least: number, most: number) => void; readonly values: () => Float32Array } {
  let pairs = new Float32Array(2048);
  let length = 0;
  return {
    push(least, most) {
      if (length === pairs.length) {
        const larger = new Float32Array(2 * pairs.length);
        larger.set(pairs);
        pairs = larger;
      }
      pairs[length++] = least;
      pairs[length++] = most;
    },
    values: () => pairs.subarray(0, length),
  };
}

/** The machine's own order is little-endian wherever Node runs today; elsewhere the bytes would have to be turned. */
function bytesOf(pairs: Float32Array): Uint8Array {
  return new Uint8Array(pairs.buffer, pairs.byteOffset, pairs.byteLength);
}
