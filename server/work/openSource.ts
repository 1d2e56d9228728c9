import type { LineSource } from "../../decoders/sources.ts";
import { openLineFile } from "../receivers/lineFile.ts";
import type { InputError } from "../recordings/inputError.ts";
import { openStored, type RecordingAt } from "../recordings/openStored.ts";
import type { Recording } from "../recordings/recording.ts";
import type { Result } from "../recordings/result.ts";

/** Whether a file holds receiver lines, by its name. */
export function isLineFile(path: string): boolean {
  return path.toLowerCase().endsWith(".ndjson");
}

/** A recording in a file, or a file of receiver lines. @param onBadLine Told of each line that does not fit. @param onStart As of openLineFile. */
export function openSource(
  at: RecordingAt,
  onBadLine: (complaint: string) => void,
  onStart?: (at: string) => void,
): Promise<Result<Recording | LineSource, InputError>> {
  if (isLineFile(at.path) && at.dataAt === undefined) return openLineFile(at.path, onBadLine, onStart);
  return openStored(at);
}
