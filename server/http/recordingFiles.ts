import { rm, stat } from "node:fs/promises";
import { join } from "node:path";
import type { DataAt } from "../recordings/openSigmf.ts";
import { sampleBytes } from "../recordings/recording.ts";
import { type DataFolder, recordingFile } from "../store/dataFolder.ts";
import type { StoredPlace, StoredRecording } from "../store/store.ts";

/** What lies in the data folder of one recording, each named by its hash. */
export interface RecordingFiles {
  /** The sample bytes and nothing else; not there for a recording that is read in place. See `samplesOf`. */
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

/** Never the file of a recording that is read in place: that is not ours. */
export async function removeRecordingFiles(folder: Pick<DataFolder, "recordingsDir">, hash: string): Promise<void> {
  await Promise.all(Object.values(recordingFiles(folder, hash)).map((path) => rm(path, { force: true })));
}

type Folders = Pick<DataFolder, "recordingsDir" | "inPlaceDir">;

/** Where the samples of a recording lie, one after the other in a stretch of a file. */
export function samplesOf(
  folder: Folders,
  { hash, place, sampleCount, sampleType }: Pick<StoredRecording, "hash" | "place" | "sampleCount" | "sampleType">,
): DataAt {
  const bytes = sampleCount * sampleBytes(sampleType);
  if (place === undefined) return { path: recordingFile(folder, hash), fromByte: 0, bytes };
  return { path: join(folder.inPlaceDir, place.path), fromByte: place.fromByte, bytes };
}

/** Whether a file that is read in place is as it was when its samples were hashed. */
export async function placeState(
  { inPlaceDir }: Pick<DataFolder, "inPlaceDir">,
  place: StoredPlace,
): Promise<"there" | "gone" | "changed"> {
  const file = await stat(join(inPlaceDir, place.path)).catch(() => undefined);
  if (!file?.isFile()) return "gone";
  return file.size === place.fileBytes && file.mtimeMs === place.changedMs ? "there" : "changed";
}
