import { z } from "zod";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";

// What goes through the work queue. Whoever sends it and whoever does it may be of different builds, so that it is
// looked at where it comes in.

const sha256 = z.string().regex(/^[0-9a-f]{64}$/);
const sha512 = z.string().regex(/^[0-9a-f]{128}$/);
/** Of one sending: what is asked for again has another. */
const order = z.string().regex(/^[0-9a-f]{32}$/);

const RecordingTask = z.strictObject({
  kind: z.literal("recording"),
  version: z.literal(1),
  order,
  /** Of the samples, which are in the object store under it. */
  hash: sha512,
  /** What people call it. */
  name: z.string(),
  /** SHA-256 of the layouts' JSON text, under which they are in the object store. */
  layouts: sha256,
});
export type RecordingTask = z.infer<typeof RecordingTask>;

const InputTask = z.strictObject({
  kind: z.literal("input"),
  version: z.literal(1),
  order,
  /** What the result is kept under: of all that it depends on. */
  key: sha256,
  name: z.string(),
  /** Where its files lie for whoever sent it; the first one is opened. */
  files: z.array(z.string()).min(1),
  /** Of those files; a worker that finds files of the same fingerprint there reads them where they lie. */
  fingerprint: sha256,
  hints: z.strictObject({
    type: z.enum(SAMPLE_TYPES).optional(),
    rateHz: z.number().optional(),
    carrierHz: z.number().optional(),
  }),
  layouts: sha256,
});
export type InputTask = z.infer<typeof InputTask>;

export const WorkTask = z.discriminatedUnion("kind", [RecordingTask, InputTask]);
export type WorkTask = z.infer<typeof WorkTask>;

/** What came of it, as it lies in the object store. */
export const StoredResult = z.discriminatedUnion("ok", [
  // Records are of one build: the key has the version in it.
  z.strictObject({ ok: z.literal(true), records: z.array(z.unknown()) }),
  z.strictObject({ ok: z.literal(false), because: z.string() }),
]);

/** Said of a task while it is done, to whoever listens; nothing depends on its being heard. */
export const Told = z.strictObject({ share: z.number(), over: z.boolean() });

/** Where files were put for a worker that cannot read them where they lie. */
export const PutFiles = z.array(
  z.strictObject({
    // It becomes a name on the worker's disk.
    name: z.string().regex(/^(?!\.{1,2}$)[^/\\\0]+$/),
    hash: sha512,
  }),
);
export type PutFiles = z.infer<typeof PutFiles>;

export const workSubject = (kind: WorkTask["kind"]) => `wheelgram.work.${kind}`;
export const toldSubject = (order: string) => `wheelgram.told.${order}`;
/** A request of a worker that needs the files of an input. */
export const askSubject = (order: string) => `wheelgram.ask.${order}`;
/** The order that nobody wants any more. */
export const STOP_SUBJECT = "wheelgram.stop";
