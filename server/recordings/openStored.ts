import type { InputError } from "./inputError.ts";
import { openRecording } from "./openRecording.ts";
import { type DataAt, META_SUFFIX, openSigmf } from "./openSigmf.ts";
import type { Recording, RecordingHints } from "./recording.ts";
import type { Result } from "./result.ts";

/** A recording in a file, or one whose samples lie elsewhere than its metadata says. */
export interface RecordingAt {
  readonly path: string;
  readonly hints: RecordingHints;
  /** Of SigMF metadata at `path`: the file that its samples lie in. */
  readonly dataAt?: DataAt | undefined;
}

/** As `openRecording`. */
export function openStored({ path, hints, dataAt }: RecordingAt): Promise<Result<Recording, InputError>> {
  if (dataAt === undefined) return openRecording(path, hints);
  return openSigmf(path, path.slice(0, -META_SUFFIX.length), undefined, dataAt);
}
