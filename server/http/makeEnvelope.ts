import { randomUUID } from "node:crypto";
import { rename, rm } from "node:fs/promises";
import type { DataFolder } from "../store/dataFolder.ts";
import type { StoredRecording } from "../store/store.ts";
import type { Taker } from "../work/taker.ts";
import { recordingFiles, samplesOf } from "./recordingFiles.ts";

/** Makes the envelope of a recording anew, where it is gone or cut short. */
export async function makeEnvelope(
  taker: Pick<Taker, "take">,
  folder: DataFolder,
  recording: StoredRecording,
): Promise<void> {
  const { meta, envelope } = recordingFiles(folder, recording.hash);
  // Two may write the same one at once, where both found it missing.
  const written = `${envelope}.${randomUUID()}`;
  try {
    const from = { path: meta, hints: {}, dataAt: samplesOf(folder, recording) };
    await taker.take(from, { copyTo: undefined, envelopeTo: written });
    await rename(written, envelope);
  } catch (error) {
    await rm(written, { force: true });
    throw error;
  }
}
