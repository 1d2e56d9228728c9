import { type FileHandle, open, stat } from "node:fs/promises";
import { toFloats } from "../../decoders/signal/samples.ts";
import type { SampleType } from "../../decoders/sources.ts";
import { blockSamples, HEADER_BYTES, levelSizes } from "../recordings/envelope.ts";
import { sampleBytes } from "../recordings/recording.ts";

/** A stretch of a recording, in samples, half open, and how many columns it is wanted in. */
export interface Stretch {
  readonly fromSample: number;
  readonly toSample: number;
  readonly columns: number;
}

export interface SignalFiles {
  readonly data: string;
  /** Where in it the first sample lies. */
  readonly fromByte: number;
  readonly envelope: string;
  readonly sampleType: SampleType;
  readonly sampleCount: number;
  /** Makes the envelope anew where it is gone or cut short. */
  readonly makeEnvelope: () => Promise<void>;
}

/** Blocks that a column has to hold at least, so that what its neighbour's edge adds stays under a quarter of it. */
const LEAST_BLOCKS = 4;

/**
 * Least and most level of every column.
 *
 * A column that is shorter than one sample shows the sample it lies in. One that is made from blocks may reach into its
 * neighbours by a block, which is at most a quarter of it; no sample is left out.
 *
 * @returns Linear |x|, full scale 1, one a column.
 */
export async function signalColumns(
  files: SignalFiles,
  { fromSample, toSample, columns }: Stretch,
): Promise<{ readonly least: number[]; readonly most: number[] }> {
  const perColumn = (toSample - fromSample) / columns;
  const sizes = levelSizes(files.sampleCount);
  let level = -1; // the samples themselves
  while (level + 1 < sizes.length && LEAST_BLOCKS * blockSamples(level + 1) <= perColumn) level++;
  const unit = level < 0 ? 1 : blockSamples(level);
  const first = Math.floor(fromSample / unit);
  const end = Math.min(level < 0 ? files.sampleCount : sizes[level]!, Math.max(first + 1, Math.ceil(toSample / unit)));
  const pairs =
    level < 0 ? await levelsOfSamples(files, first, end) : await pairsOfBlocks(files, sizes, level, first, end);
  const least: number[] = [];
  const most: number[] = [];
  for (let column = 0; column < columns; column++) {
    const from = Math.min(end - 1, Math.floor((fromSample + column * perColumn) / unit));
    const to = Math.min(end, Math.max(from + 1, Math.ceil((fromSample + (column + 1) * perColumn) / unit)));
    let low = Number.POSITIVE_INFINITY;
    let high = 0;
    for (let i = from - first; i < to - first; i++) {
      if (pairs[2 * i]! < low) low = pairs[2 * i]!;
      if (pairs[2 * i + 1]! > high) high = pairs[2 * i + 1]!;
    }
    least.push(rounded(low));
    most.push(rounded(high));
  }
  return { least, most };
}

/** Five digits: more than a picture shows, and half of what the text would be. */
function rounded(level: number): number {
  return Number(level.toPrecision(5));
}

/** Each sample as a pair of twice its level. */
async function levelsOfSamples(files: SignalFiles, first: number, end: number): Promise<Float32Array> {
  const bytes = sampleBytes(files.sampleType);
  const read = await readRange(files.data, files.fromByte + first * bytes, files.fromByte + end * bytes);
  const floats = new Float32Array(2 * (end - first));
  toFloats(files.sampleType, read, floats);
  for (let i = 0; i < floats.length; i += 2) {
    const level = Math.hypot(floats[i]!, floats[i + 1]!);
    floats[i] = level;
    floats[i + 1] = level;
  }
  return floats;
}

async function pairsOfBlocks(
  files: SignalFiles,
  sizes: readonly number[],
  level: number,
  first: number,
  end: number,
): Promise<Float32Array> {
  const pairCount = sizes.reduce((sum, size) => sum + size, 0);
  const there = await stat(files.envelope).catch(() => undefined);
  if (there?.size !== HEADER_BYTES + 8 * pairCount) await files.makeEnvelope();
  const before = sizes.slice(0, level).reduce((sum, size) => sum + size, 0);
  const at = HEADER_BYTES + 8 * before;
  const read = await readRange(files.envelope, at + 8 * first, at + 8 * end);
  return new Float32Array(read.buffer, read.byteOffset, 2 * (end - first));
}

async function readRange(path: string, from: number, to: number): Promise<Uint8Array> {
  const file = await open(path, "r");
  try {
    const bytes = new Uint8Array(to - from);
    await readFully(file, bytes, from);
    return bytes;
  } finally {
    await file.close();
  }
}

async function readFully(file: FileHandle, into: Uint8Array, from: number): Promise<void> {
  for (let filled = 0; filled < into.length; ) {
    const { bytesRead } = await file.read(into, filled, into.length - filled, from + filled);
    if (bytesRead === 0) throw new Error(`a stored file ends at byte ${from + filled}, too early`);
    filled += bytesRead;
  }
}
