import type { Layout } from "../../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../../decoders/records.ts";

/** Where an input of a study stands. Results are written when none waits any more, or of those that are done so far. */
export type InputState = "waiting" | "running" | "done" | "failed" | "skipped";

/** One input of a study, whatever became of it. */
export interface ResultInput {
  /** Its place in the study's fixed order; ascending, wherever it begins. */
  readonly index: number;
  /** Relative to where the study was made, with `/` between folders: no path of a machine. */
  readonly name: string;
  /** SHA-512 of its sample bytes, of receiver lines that of the file; `null` where it was not read that far. */
  readonly hash: string | null;
  /** How many those bytes are. */
  readonly bytes: number | null;
  readonly state: InputState;
  /** Why it failed or was skipped. */
  readonly reason: string | null;
  /** Time of day of its first sample, RFC 3339 in UTC, where the recording tells one. */
  readonly startedAt: string | null;
  /** Of a SigMF recording: what a collection lists it by. */
  readonly sigmf: SigmfMember | null;
}

export interface SigmfMember {
  /** Name of the recording, without a folder and without `.sigmf-meta`. */
  readonly name: string;
  /** SHA-512 of its metadata file. */
  readonly metadataHash: string;
}

/** A layout as the study froze it. */
export interface ResultLayout {
  readonly layout: Layout;
  /** `null` for one that has no versions, such as a file. */
  readonly version: number | null;
  readonly sha256: string;
}

/** All that results say beside what was heard. Nothing in it may depend on the machine or the time of day. */
export interface StudyFacts {
  readonly title: string;
  readonly toolVersion: string;
  readonly layouts: readonly ResultLayout[];
  /** The frozen settings, as they stand in the study's file. */
  readonly settings: Readonly<Record<string, unknown>>;
  /** All of them, by index. */
  readonly inputs: readonly ResultInput[];
  /** How to cite the tool, the layouts and the data, as CITATION.txt has it; left off, that file is not written. */
  readonly citation?: string;
}

/** The records of an input that is done. */
export interface DoneInput {
  readonly index: number;
  /** From the first record to the summary; asked for once. */
  readonly records: () => AsyncIterable<AnalysisRecord> | Iterable<AnalysisRecord>;
}
