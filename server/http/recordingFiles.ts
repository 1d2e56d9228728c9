import { rm } from "node:fs/promises";
import { join } from "node:path";
import { type DataFolder, recordingFile } from "../store/dataFolder.ts";

/** What lies in the data folder of one recording, each named by its hash. */
export interface RecordingFiles {
  /** The sample bytes and nothing else. */
  readonly data: string;
  /** What is needed to read them: a SigMF recording together with `data`. */
  readonly meta: string;
  /** The name and the metadata that it came with, as they came. */
  readonly original: string;
  readonly envelope: string;
}

export function recordingFiles(folder: Pick<DataFolder, "recordingsDir">, hash: string): RecordingFiles {
  return {
    data: recordingFile(folder, hash),
    meta: join(folder.recordingsDir, `${hash}.sigmf-meta`),
    original: join(folder.recordingsDir, `${hash}.json`),
    envelope: join(folder.recordingsDir, `${hash}.envelope`),
  };
}

export async function removeRecordingFiles(folder: Pick<DataFolder, "recordingsDir">, hash: string): Promise<void> {
  await Promise.all(Object.values(recordingFiles(folder, hash)).map((path) => rm(path, { force: true })));
}
