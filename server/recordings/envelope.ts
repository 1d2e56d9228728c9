import { type FileHandle, open } from "node:fs/promises";
import { createExtremes } from "../../decoders/signal/kernels/extremes.ts";
import { toFloats } from "../../decoders/signal/samples.ts";
import type { SampleType } from "../../decoders/sources.ts";
import { BLOCK_BYTES } from "./blocks.ts";
import { sampleBytes } from "./recording.ts";

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

/** Writes the file as the samples of a recording pass; memory does not grow with them. */
export interface EnvelopeMaker {
  /** Samples in order, cut anywhere; `bytes` is free again when this settles. */
  readonly take: (bytes: Uint8Array) => Promise<void>;
  /** The file is whole and on disk when this settles. @throws Error if other than the told number of samples came. */
  readonly end: () => Promise<void>;
  /** Lets go of the file, whole or not. */
  readonly close: () => Promise<void>;
}

/** @param path Not there yet. It grows in place: give it a name that nobody reads until it is whole. */
export async function createEnvelope(type: SampleType, sampleCount: number, path: string): Promise<EnvelopeMaker> {
  const size = sampleBytes(type);
  const blockBytes = BLOCK_SAMPLES * size;
  const extremes = createExtremes(type, BLOCK_SAMPLES, BLOCK_BYTES / blockBytes);
  const file = await open(path, "wx");
  const levels = levelsOf(sampleCount);
  const header = Buffer.alloc(HEADER_BYTES);
  header.write("WGE1", 0, "latin1");
  header.writeBigUInt64LE(BigInt(sampleCount), 8);
  let filled = 0;
  let bytesTaken = 0;

  const pushPairs = async (pairs: Float32Array) => {
    for (let i = 0; i < pairs.length; i += 2) push(levels, 0, pairs[i]!, pairs[i + 1]!);
    for (const level of levels) if (level.filled >= FLUSH_FLOATS) await flush(file, level);
  };
  return {
    async take(bytes) {
      bytesTaken += bytes.length;
      for (let at = 0; at < bytes.length; ) {
        const room = Math.min(extremes.input.length - filled, bytes.length - at);
        extremes.input.set(bytes.subarray(at, at + room), filled);
        at += room;
        filled += room;
        if (filled < extremes.input.length) continue;
        await pushPairs(extremes.of(filled / blockBytes));
        filled = 0;
      }
    },
    async end() {
      if (bytesTaken !== sampleCount * size) {
        throw new Error(`an envelope of ${sampleCount} samples was given ${bytesTaken / size}`);
      }
      const whole = Math.floor(filled / blockBytes);
      if (whole > 0) await pushPairs(extremes.of(whole));
      if (filled > whole * blockBytes)
        push(levels, 0, ...extremesOf(type, extremes.input.subarray(whole * blockBytes, filled)));
      pushRests(levels);
      for (const level of levels) await flush(file, level);
      // What has no header yet is no envelope: it comes last.
      await file.write(header, 0, HEADER_BYTES, 0);
      await file.sync();
    },
    close: () => file.close(),
  };
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

/** Pairs that a level holds back until they are worth a write; a block of samples adds half a thousand at most. */
const FLUSH_FLOATS = 8192;
const HELD_FLOATS = FLUSH_FLOATS + 2 * (BLOCK_BYTES / (2 * BLOCK_SAMPLES));

interface Level {
  /** In the file, of the first pair that is held. */
  at: number;
  readonly held: Float32Array;
  filled: number;
  /** Of the block of the level above that is being gathered. */
  least: number;
  most: number;
  gathered: number;
}

function levelsOf(sampleCount: number): Level[] {
  let at = HEADER_BYTES;
  return levelSizes(sampleCount).map((size) => {
    const level = { at, held: new Float32Array(HELD_FLOATS), filled: 0, ...nothing() };
    at += 8 * size;
    return level;
  });
}

function nothing() {
  return { least: Number.POSITIVE_INFINITY, most: 0, gathered: 0 };
}

function push(levels: readonly Level[], index: number, least: number, most: number): void {
  const level = levels[index]!;
  level.held[level.filled++] = least;
  level.held[level.filled++] = most;
  if (index + 1 >= levels.length) return;
  if (least < level.least) level.least = least;
  if (most > level.most) level.most = most;
  if (++level.gathered === FACTOR) pushGathered(levels, index);
}

function pushGathered(levels: readonly Level[], index: number): void {
  const level = levels[index]!;
  const { least, most } = level;
  Object.assign(level, nothing());
  push(levels, index + 1, least, most);
}

/** The last block of each level may be of fewer than four. */
function pushRests(levels: readonly Level[]): void {
  for (let index = 0; index + 1 < levels.length; index++) if (levels[index]!.gathered > 0) pushGathered(levels, index);
}

async function flush(file: FileHandle, level: Level): Promise<void> {
  // The machine's own order is little-endian wherever Node runs today; elsewhere the bytes would have to be turned.
  const bytes = new Uint8Array(level.held.buffer, 0, 4 * level.filled);
  for (let done = 0; done < bytes.length; ) {
    done += (await file.write(bytes, done, bytes.length - done, level.at + done)).bytesWritten;
  }
  level.at += bytes.length;
  level.filled = 0;
}

/** Of a block that is shorter than the others. */
function extremesOf(type: SampleType, bytes: Uint8Array): [least: number, most: number] {
  const iq = new Float32Array((2 * bytes.length) / sampleBytes(type));
  toFloats(type, bytes, iq);
  let least = Number.POSITIVE_INFINITY;
  let most = 0;
  for (let i = 0; i < iq.length; i += 2) {
    const power = iq[i]! * iq[i]! + iq[i + 1]! * iq[i + 1]!;
    if (power < least) least = power;
    if (power > most) most = power;
  }
  return [Math.sqrt(least), Math.sqrt(most)];
}
