import { z } from "zod";
import { RUNGS } from "../../../decoders/records.ts";
import { InPlaceOpenBody } from "../wire.ts";

// A study over the wire: many recordings with one set of settings, how far it is, and what came of it.

const count = z.int().min(0);
const share = z.number().min(0).max(1);

export const INPUT_STATES = ["waiting", "running", "done", "failed", "skipped"] as const;
const inputState = z.enum(INPUT_STATES);
export type StudyInputState = z.infer<typeof inputState>;

/** Where a burst stopped on the ladder; one that did not is a telegram, or a repeat of one. */
export const OUTCOMES = [...RUNGS, "repeat", "telegram"] as const;
const outcome = z.enum(OUTCOMES);
export type Outcome = z.infer<typeof outcome>;

/** How far an input came: its best burst, or, without any, the rung that the whole of it missed. */
export const REACHED = [...RUNGS, "telegram"] as const;
const reached = z.enum(REACHED);
export type Reached = z.infer<typeof reached>;

const MOST_SOURCES = 20_000;

/** A recording of the house, or a file or folder below the folder in-place. */
const SourceBody = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("recording"), hash: z.string().regex(/^[0-9a-f]{128}$/, "a SHA-512 in hex") }),
  z.strictObject({ kind: z.literal("in-place"), path: z.string().max(4096) }),
]);
export type StudySourceBody = z.infer<typeof SourceBody>;

export const StudyNewBody = z.strictObject({
  title: z.string().trim().min(1).max(200),
  sources: z.array(SourceBody).min(1).max(MOST_SOURCES),
  /** A settings file; what it leaves out has its default, which GET /study-settings tells. */
  settings: z.record(z.string(), z.unknown()).default({}),
  /** Five of the inputs, spread over all of them: a look before anything is frozen. */
  trial: z.boolean().default(false),
});
/** As it is sent; what is left out has its default. */
export type StudyNewBody = z.input<typeof StudyNewBody>;
export type StudyAsked = z.output<typeof StudyNewBody>;

/** Every setting with its default, and the layouts that would be tried. */
export const StudySettingsBody = z.strictObject({
  settings: z.record(z.string(), z.unknown()),
  /** Where files for a study are put on the server's computer. */
  folder: z.string(),
});
export type StudySettingsBody = z.infer<typeof StudySettingsBody>;

export const STUDY_STATES = ["registering", "running", "stopping", "stopped", "done", "failed"] as const;

export const StudyHeadBody = z.strictObject({
  id: z.string(),
  title: z.string(),
  createdAt: z.string(),
  trial: z.boolean(),
  /** `registering`: its files are read for their hashes. `failed`: it could not be made, `because` says why. */
  state: z.enum(STUDY_STATES),
  because: z.string().nullable(),
  /** The sum of the states is always `total`; all 0 until all files are registered. */
  counts: z.strictObject({
    waiting: count,
    running: count,
    done: count,
    failed: count,
    skipped: count,
    total: count,
  }),
  /** Of what the state is at: files read, or recordings decoded. */
  share,
  /** Of what runs, as far as it can be told. */
  restSeconds: z.number().nullable(),
  hasResults: z.boolean(),
});
export type StudyHeadBody = z.infer<typeof StudyHeadBody>;

/** Goes with every step of a study; without `study` it was removed. */
export const StudyEventBody = z.strictObject({ id: z.string(), study: StudyHeadBody.optional() });
export type StudyEventBody = z.infer<typeof StudyEventBody>;

const LadderRowBody = z.strictObject({
  outcome,
  /** That came to this. */
  bursts: count,
  /** Inputs that have such a burst. */
  inputs: count,
  /** Inputs whose best came to this; one without any burst is counted at the rung that the whole of it missed. */
  bestOf: count,
});
export type StudyLadderRowBody = z.infer<typeof LadderRowBody>;

export const StudyBody = StudyHeadBody.extend({
  /** As they are frozen, every default written out; `null` until then. */
  settings: z.record(z.string(), z.unknown()).nullable(),
  /** Of the inputs that are done, from the lowest rung up. */
  ladder: z.array(LadderRowBody),
  citation: z.string().nullable(),
});
export type StudyBody = z.infer<typeof StudyBody>;

const WhereShape = {
  /** Of the recording in this house that has these samples. */
  recordingHash: z.string().nullable(),
  /** Its file below the folder in-place, where it is not a recording of this house yet and can be opened. */
  inPlacePath: z.string().nullable(),
  /** What POST /in-place has to be told of that file beside its path, as the study's settings say it. */
  inPlaceTold: InPlaceOpenBody.omit({ path: true }),
};

export const StudyInputBody = z.strictObject({
  /** From 0 on, in the order of the study. */
  index: count,
  name: z.string(),
  hash: z.string().nullable(),
  bytes: count.nullable(),
  state: inputState,
  /** Why it failed or was skipped. */
  because: z.string().nullable(),
  remark: z.string().nullable(),
  share,
  bursts: count.nullable(),
  telegrams: count.nullable(),
  reached: reached.nullable(),
  ...WhereShape,
});
export type StudyInputBody = z.infer<typeof StudyInputBody>;

export const StudyInputsBody = z.strictObject({ total: count, inputs: z.array(StudyInputBody) });
export type StudyInputsBody = z.infer<typeof StudyInputsBody>;

export const StudyBurstBody = z.strictObject({
  input: count,
  name: z.string(),
  /** In the input, by the study's layouts. */
  burst: count,
  atSeconds: z.number(),
  durationSeconds: z.number(),
  carrierHz: z.number(),
  symbolRate: z.number().nullable(),
  snrDb: z.number().nullable(),
  outcome,
  layout: z.string().nullable(),
  /** The rung that it missed, in a sentence with its numbers. */
  because: z.string().nullable(),
  ...WhereShape,
  /** The same burst in the house's own analysis of the recording, whose layouts may be others. */
  frame: count.nullable(),
});
export type StudyBurstBody = z.infer<typeof StudyBurstBody>;

export const StudyResultFileBody = z.strictObject({
  /** Such as `telegrams.csv` or `plots/gaps.svg`. */
  name: z.string(),
  bytes: count,
  sha256: z.string(),
});
export type StudyResultFileBody = z.infer<typeof StudyResultFileBody>;

export const InputsQuery = z.strictObject({
  state: inputState.optional(),
  reached: reached.optional(),
  /** The index after which the page begins. */
  after: z.int().min(0).optional(),
  limit: z.int().min(1).max(500).optional(),
});

export const BurstsQuery = z.strictObject({
  outcome: outcome.optional(),
  /** Of one input alone. */
  input: z.int().min(0).optional(),
  /** `INPUT.BURST`, after which the page begins. */
  after: z
    .string()
    .regex(/^\d{1,9}\.\d{1,9}$/, "an input and a burst, such as 12.3")
    .optional(),
  limit: z.int().min(1).max(200).optional(),
});
