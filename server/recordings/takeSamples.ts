import { createHash } from "node:crypto";
import { type FileHandle, open } from "node:fs/promises";
import { createEnvelope } from "./envelope.ts";
import { InputError } from "./inputError.ts";
import { type Recording, sampleBytes } from "./recording.ts";

export interface TakenSamples {
  /** SHA-512 of the sample bytes, lower-case hex. */
  readonly hash: string;
  readonly sampleCount: number;
}

export interface TakeOptions {
  /** Where the samples are copied to; `undefined` where they stay where they lie. */
  readonly copyTo: string | undefined;
  /** Where their envelope is written to. */
  readonly envelopeTo: string;
  /** Share done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
  /** @throws DOMException `AbortError` once it is aborted; what was written stays for the caller to take away. */
  readonly signal?: AbortSignal;
}

/**
 * Passes once over the samples of a recording: hash, envelope and, where asked for, a copy are made of the same blocks.
 *
 * @throws InputError at a sample that is not finite, where the file ends early, or for what has no length.
 */
export async function takeSamples(
  recording: Recording,
  { copyTo, envelopeTo, onProgress, signal }: TakeOptions,
): Promise<TakenSamples> {
  const { sampleCount, sampleType } = recording;
  if (sampleCount === undefined) throw new InputError(recording.file, "file", "a pipe", "an ordinary file");
  const total = sampleCount * sampleBytes(sampleType);
  const hash = createHash("sha512");
  const envelope = await createEnvelope(sampleType, sampleCount, envelopeTo);
  let copy: FileHandle | undefined;
  let bytes = 0;
  try {
    copy = copyTo === undefined ? undefined : await open(copyTo, "w");
    for await (const block of recording.blocks) {
      signal?.throwIfAborted();
      hash.update(block);
      await envelope.take(block);
      if (copy) await writeAll(copy, block);
      bytes += block.length;
      onProgress?.(bytes / total);
    }
    await envelope.end();
    await copy?.sync();
  } finally {
    await envelope.close();
    await copy?.close();
  }
  return { hash: hash.digest("hex"), sampleCount };
}

async function writeAll(file: FileHandle, block: Uint8Array): Promise<void> {
  for (let at = 0; at < block.length; ) at += (await file.write(block, at)).bytesWritten;
}
