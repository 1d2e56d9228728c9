import { z } from "zod";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";

const optionalHz = z.number().optional();

/** What a recording tells of its origin, for a citation; only the keys that it has. */
const Origin = z.strictObject({
  /** SigMF's core:author, core:license, core:data_doi and core:meta_doi. */
  author: z.string().optional(),
  license: z.string().optional(),
  dataDoi: z.string().optional(),
  metaDoi: z.string().optional(),
});
export type Origin = z.infer<typeof Origin>;

/** An input as it was registered: a line of `inputs.ndjson`. Keys that do not apply are left out. */
export const RegisteredInput = z.strictObject({
  /** Its place in the order of the study, from 0 on. */
  index: z.int().min(0),
  /** What it is called in every result: a name below what was given on the command line, parts joined by `/`. */
  name: z.string(),
  /** Where it lay on this machine. Never in a result. */
  path: z.string(),
  kind: z.enum(["samples", "lines"]).optional(),
  /** SHA-512 of the sample bytes, of receiver lines of the file's bytes; lower-case hex. */
  hash: z.string().optional(),
  /** How many bytes that are. */
  bytes: z.int().min(0).optional(),
  /** Size and time of change of its files at that moment, by which a later change is noticed. */
  stamp: z.string().optional(),
  /** What the settings add to what it says of itself. */
  hints: z
    .strictObject({ type: z.enum(SAMPLE_TYPES).optional(), rateHz: optionalHz, carrierHz: optionalHz })
    .optional(),
  sampleType: z.enum(SAMPLE_TYPES).optional(),
  sampleRateHz: optionalHz,
  /** Centre frequency of its first capture. */
  carrierHz: optionalHz,
  /** Time of day of its first sample or line, RFC 3339 in UTC, where it tells one. */
  startedAt: z.string().optional(),
  /** SHA-512 of the metadata file of a SigMF recording of two files: by it a collection lists the recording. */
  metadataHash: z.string().optional(),
  origin: Origin.optional(),
  /** A sentence: what of it is left out, such as lines that do not fit. */
  remark: z.string().optional(),
  /** A sentence: why it is not analysed. */
  skipped: z.string().optional(),
});
export type RegisteredInput = z.infer<typeof RegisteredInput>;

export const INPUT_STATES = ["waiting", "running", "done", "failed", "skipped"] as const;
export type InputState = (typeof INPUT_STATES)[number];

/** An input and how far it is. */
export interface StudyInput extends RegisteredInput {
  readonly state: InputState;
  /** Of one that failed or was skipped: why, in a sentence. */
  readonly because: string | undefined;
  /** Of one that runs: share done, 0 to 1. */
  readonly share: number | undefined;
}

/** How many inputs are in each state; the sum is always `total`. */
export type StateCounts = Readonly<Record<InputState, number>> & { readonly total: number };

export function countStates(inputs: Iterable<Pick<StudyInput, "state">>): StateCounts {
  const counts = { waiting: 0, running: 0, done: 0, failed: 0, skipped: 0, total: 0 };
  for (const { state } of inputs) {
    counts[state]++;
    counts.total++;
  }
  return counts;
}
