import { open } from "node:fs/promises";
import type { SampleType } from "../../decoders/sources.ts";
import { type Piece, wholeSamples } from "./dataset.ts";
import { fileError, InputError } from "./inputError.ts";
import { sampleBytes } from "./recording.ts";

/** Big enough that the calls cost nothing, small enough that memory stays as it is. */
export const BLOCK_BYTES = 256 * 1024;

/**
 * The sample bytes of a file, piece by piece. Two buffers hold them in turn: the next block is read while one is used.
 *
 * @param pieces Each a whole number of samples long, but for their sum's sake the last.
 * @throws InputError if the file ends early, or at a sample that is not finite.
 */
export async function* readPieces(
  file: string,
  path: string,
  pieces: readonly Piece[],
  type: SampleType,
): AsyncGenerator<Uint8Array, void, undefined> {
  const handle = await open(path, "r").catch((error: unknown) => {
    throw fileError(file, error, "the samples");
  });
  const fill = async (buffer: Uint8Array, { at, bytes, end }: Block): Promise<Uint8Array> => {
    let filled = 0;
    while (filled < bytes) {
      const { bytesRead } = await handle.read(buffer, filled, bytes - filled, at + filled);
      if (bytesRead === 0) throw new InputError(file, `byte ${at + filled}`, "the end", `samples up to byte ${end}`);
      filled += bytesRead;
    }
    return buffer.subarray(0, bytes);
  };
  const blocks = blocksOf(pieces);
  const buffers = [new Uint8Array(BLOCK_BYTES), new Uint8Array(BLOCK_BYTES)] as const;
  let coming: Promise<Uint8Array> | undefined;
  try {
    let sample = 0;
    let turn = 0;
    let next = blocks.next();
    while (!next.done) {
      const { at } = next.value;
      const block = await (coming ?? fill(buffers[0], next.value));
      turn = 1 - turn;
      next = blocks.next();
      coming = next.done ? undefined : fill(buffers[turn as 0 | 1], next.value);
      coming?.catch(() => undefined); // told when it is asked for
      refuseInfinite(file, block, type, sample, at);
      yield block;
      sample += block.length / sampleBytes(type);
    }
  } finally {
    await coming?.catch(() => undefined);
    await handle.close();
  }
}

interface Block {
  readonly at: number;
  readonly bytes: number;
  /** Of its piece. */
  readonly end: number;
}

function* blocksOf(pieces: readonly Piece[]): Generator<Block, void, undefined> {
  for (const { from, to } of pieces) {
    for (let at = from; at < to; at += BLOCK_BYTES) yield { at, bytes: Math.min(BLOCK_BYTES, to - at), end: to };
  }
}

/**
 * The sample bytes of a stream, such as standard input, checked as they pass; blocks hold whole samples.
 *
 * @throws InputError if it brings nothing, ends inside a sample, or at a sample that is not finite.
 */
export async function* streamSamples(
  file: string,
  stream: AsyncIterable<Uint8Array>,
  type: SampleType,
): AsyncGenerator<Uint8Array, void, undefined> {
  const size = sampleBytes(type);
  let rest: Uint8Array = new Uint8Array(0);
  let total = 0;
  for await (const chunk of stream) {
    const bytes = rest.length > 0 ? Buffer.concat([rest, chunk]) : chunk;
    const whole = bytes.length - (bytes.length % size);
    const block = bytes.subarray(0, whole);
    refuseInfinite(file, block, type, total / size, total);
    total += whole;
    rest = new Uint8Array(bytes.subarray(whole)); // a copy: the chunk is the stream's
    if (whole > 0) yield block;
  }
  const fault = wholeSamples(file, total + rest.length, size, total + rest.length);
  if (fault) throw fault;
}

/** Looks for a float whose exponent is all ones: an infinity or not a number. `block` starts at a sample. */
function refuseInfinite(file: string, block: Uint8Array, type: SampleType, sample: number, byte: number): void {
  if (type !== "cf32_le") return;
  for (let i = 3; i < block.length; i += 4) {
    if ((block[i]! & 0x7f) !== 0x7f || block[i - 1]! < 0x80) continue;
    const at = i - 3;
    const value = new DataView(block.buffer, block.byteOffset + at, 4).getFloat32(0, true);
    throw new InputError(file, `byte ${byte + at}`, `${value} in sample ${sample + (at >> 3)}`, "finite samples");
  }
}
