import type { PackedReading } from "../../decoders/frames/packReading.ts";
import type { LiveTold } from "../../decoders/frames/teller.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord, BurstRecord } from "../../decoders/records.ts";
import type { Tuning } from "../../decoders/signal/captures.ts";
import type { KeptBurst } from "../../decoders/signal/heardBurst.ts";
import type { BurstLine, Capture, SampleType } from "../../decoders/sources.ts";
import type { Caught } from "../../decoders/workshop/caught.ts";
import type { WorkedOut } from "../../decoders/workshop/workOut.ts";
import type { Worksheet } from "../../decoders/workshop/worksheet.ts";
import type { DataAt } from "../recordings/openSigmf.ts";
import type { RecordingHints } from "../recordings/recording.ts";
import type { MeasureAnswer, MeasureQuestion } from "./measureQuestions.ts";

// What goes between the server and its workers. Both are of the same build, so nothing is checked again.

/** A stream of samples as it was announced. */
export interface SampleStream {
  readonly name: string;
  readonly sampleType: SampleType;
  readonly sampleRateHz: number;
  readonly captures: readonly Capture[];
}

/** A recording whose unread bursts are to be cut beside those of others. */
export interface CutRecording {
  readonly path: string;
  readonly dataAt: DataAt | undefined;
  readonly originSeconds: number;
  readonly records: readonly BurstRecord[];
  /** What the burst of each record is called. */
  readonly ids: readonly string[];
}

/** What an input of a study is known by. */
export interface Hashed {
  /** SHA-512 of the sample bytes, of receiver lines of the file's bytes; lower-case hex. */
  readonly hash: string;
  /** How many bytes that are. */
  readonly bytes: number;
  /** Receiver lines that do not fit, and what is wrong with the first: `FILE:LINE: KEY: …`. */
  readonly badLines: number;
  readonly firstBad: string | undefined;
  /** Of receiver lines: the time of day from which their seconds count. */
  readonly startedAt: string | undefined;
}

/** The first message of a task says what it is. */
export type Order =
  | {
      readonly kind: "analyse";
      readonly path: string;
      readonly hints: RecordingHints;
      /** As of RecordingAt. */
      readonly dataAt: DataAt | undefined;
      readonly layouts: readonly Layout[];
      /** Of samples: their hash is told as well, before the end. */
      readonly hash?: boolean;
    }
  | {
      readonly kind: "hash";
      readonly path: string;
      readonly hints: RecordingHints;
      readonly dataAt: DataAt | undefined;
    }
  | {
      readonly kind: "take";
      readonly path: string;
      readonly hints: RecordingHints;
      readonly dataAt: DataAt | undefined;
      readonly copyTo: string | undefined;
      readonly envelopeTo: string;
    }
  | {
      readonly kind: "lines";
      readonly file: string;
      readonly layouts: readonly Layout[];
      readonly originSeconds: number;
    }
  | { readonly kind: "samples"; readonly stream: SampleStream; readonly layouts: readonly Layout[] }
  | { readonly kind: "read"; readonly layouts: readonly Layout[] }
  | { readonly kind: "measure"; readonly question: MeasureQuestion }
  | { readonly kind: "work out"; readonly id: string; readonly sheet: Worksheet }
  | { readonly kind: "cut"; readonly recordings: readonly CutRecording[]; readonly caught: readonly Caught[] };

export type ToWorker =
  | { readonly kind: "begin"; readonly task: number; readonly order: Order }
  /** To "lines": answered by one `told`. */
  | { readonly kind: "bursts"; readonly task: number; readonly lines: readonly BurstLine[] }
  /** To "lines": nothing came for so long. Answered by one `told`. */
  | { readonly kind: "quiet"; readonly task: number; readonly seconds: number }
  /** To "samples": answered by one `taken` when it was decoded. */
  | { readonly kind: "bytes"; readonly task: number; readonly bytes: Uint8Array }
  /** To "read": answered by one `reading`, in order. */
  | { readonly kind: "burst"; readonly task: number; readonly burst: KeptBurst; readonly tuning: Tuning }
  /** No more comes: a stream of samples is then decoded to its end, anything else is dropped. */
  | { readonly kind: "end"; readonly task: number }
  /** Nothing more is wanted. */
  | { readonly kind: "cancel"; readonly task: number };

export type FromWorker =
  | { readonly kind: "progress"; readonly task: number; readonly share: number }
  | { readonly kind: "records"; readonly task: number; readonly records: readonly AnalysisRecord[] }
  /** `unsettled`: as of LiveLines, after this. */
  | { readonly kind: "told"; readonly task: number; readonly told: readonly LiveTold[]; readonly unsettled: number }
  | { readonly kind: "taken"; readonly task: number }
  | { readonly kind: "samples taken"; readonly task: number; readonly hash: string; readonly sampleCount: number }
  /** To "hash": the one answer, unless it was cancelled. To "analyse" where it asks for it. */
  | ({ readonly kind: "hashed"; readonly task: number } & Hashed)
  | { readonly kind: "reading"; readonly task: number; readonly reading: PackedReading }
  /** To "cut": the same bursts, cut together. */
  | { readonly kind: "cut"; readonly task: number; readonly caught: readonly Caught[] }
  | { readonly kind: "worked out"; readonly task: number; readonly worked: WorkedOut }
  /** To "measure": the one answer. */
  | { readonly kind: "measured"; readonly task: number; readonly answer: MeasureAnswer }
  | { readonly kind: "done"; readonly task: number }
  /** A sentence for people; the task is over. `code`: of an error of the file system, or `refused` for a poor input. */
  | {
      readonly kind: "failed";
      readonly task: number;
      readonly because: string;
      readonly code: string | undefined;
    };
