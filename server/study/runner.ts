import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { RecordingHints } from "../recordings/recording.ts";
import type { Result } from "../recordings/result.ts";
import type { Analysed } from "../work/pool.ts";

/** Who analyses the inputs of a study: threads of this machine, or other machines. */
export interface StudyRunner {
  /** How many recordings are on their way at once. */
  readonly size: number;
  /**
   * The records of `analyse`, or a sentence that says why there are none. The study itself puts the input's name in the
   * place of `file` and takes out what a clock has told, so that who analyses, and where, changes nothing.
   */
  readonly analyse: (task: StudyTask) => Promise<Result<readonly AnalysisRecord[], string>>;
  /**
   * The same, of samples whose hash is not known yet, and the hash: they are read once for both. Without it the hash comes
   * first.
   */
  readonly analyseAndHash?: (task: Omit<StudyTask, "hash">) => Promise<Result<Analysed, string>>;
  /** There is nothing to analyse for now: lets go of memory. */
  readonly rest: () => Promise<void>;
  /** Ends what runs at once. */
  readonly stop: () => Promise<void>;
}

/** One input to be analysed. */
export interface StudyTask {
  /** A recording as `openRecording` takes it, or a file of receiver lines, whose name ends in `.ndjson`. */
  readonly path: string;
  /** What the study calls it: a sentence about a failure speaks of this, not of `path`. */
  readonly name: string;
  /** SHA-512 of the sample bytes, of receiver lines of the file's bytes; lower-case hex. */
  readonly hash: string;
  readonly hints: RecordingHints;
  readonly layouts: readonly Layout[];
  /** Share done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
  readonly signal: AbortSignal;
}
