import { createHash } from "node:crypto";
import { open } from "node:fs/promises";
import { sampleBytes } from "../recordings/recording.ts";
import type { Keeper } from "./keepRecording.ts";
import { samplesOf } from "./recordingFiles.ts";
import type { UploadNewBody } from "./wire.ts";

const PART_BYTES = 2 ** 20;

/**
 * A recording that has as many sample bytes as an upload and the same print. That is no proof: its beginning, middle and
 * end are the same, and a person decides. A browser cannot take the hash of gigabytes without holding them.
 *
 * @returns Its hash; `undefined` where there is none, or the upload's samples are not all of its bytes.
 */
export async function alikeRecording(
  { store, folder }: Keeper,
  { print, byteCount, metaBytes = 0 }: UploadNewBody,
): Promise<string | undefined> {
  if (print === undefined) return undefined;
  for (const recording of await store.recordings()) {
    const { sampleCount, sampleType, hash } = recording;
    if (sampleCount * sampleBytes(sampleType) !== byteCount - metaBytes) continue;
    const { path, fromByte, bytes } = samplesOf(folder, recording);
    const theirs = await printOf(path, fromByte, bytes).catch(() => undefined); // its file may be gone
    if (theirs === print) return hash;
  }
  return undefined;
}

/** As `print` of `UploadNewBody` says. */
export async function printOf(path: string, fromByte: number, byteCount: number): Promise<string> {
  const length = Math.min(PART_BYTES, byteCount);
  const hash = createHash("sha512");
  const file = await open(path, "r");
  try {
    for (const at of [0, Math.floor((byteCount - length) / 2), byteCount - length]) {
      const part = new Uint8Array(length);
      const { bytesRead } = await file.read(part, 0, length, fromByte + at);
      hash.update(part.subarray(0, bytesRead));
    }
  } finally {
    await file.close();
  }
  return hash.digest("hex");
}
