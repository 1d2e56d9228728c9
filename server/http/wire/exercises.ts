import { z } from "zod";
import { RUNGS } from "../../../decoders/records.ts";
import { ExerciseSet, LEVELS, UNITS } from "../../class/exercise.ts";

// Exercises over the wire. What somebody sees before the reveal holds neither the answer nor what is drawn by chance.

const rung = z.enum(RUNGS).nullable();

export const ExerciseSetHeadBody = z.strictObject({
  id: z.string(),
  title: z.string(),
  teaches: z.string(),
  level: z.enum(LEVELS),
  minutes: z.int(),
  bands: z.array(z.string()),
  exercises: z.int(),
  /** Written here or brought in, not shipped. */
  own: z.boolean(),
});
export type ExerciseSetHeadBody = z.infer<typeof ExerciseSetHeadBody>;

export const ExerciseSetBody = ExerciseSetHeadBody.omit({ exercises: true }).extend({
  /** 0 for one that came with the house. */
  revision: z.int(),
  exercises: z.array(z.strictObject({ id: z.string(), title: z.string(), rung })),
});
export type ExerciseSetBody = z.infer<typeof ExerciseSetBody>;

export const PictureBody = z.strictObject({
  fromSeconds: z.number(),
  toSeconds: z.number(),
  /** Linear level |x|, full scale 1; one a column. */
  least: z.array(z.number()),
  most: z.array(z.number()),
  /** In Hz at RF; `null` for a column of noise. */
  lowestHz: z.array(z.number().nullable()),
  highestHz: z.array(z.number().nullable()),
});
export type PictureBody = z.infer<typeof PictureBody>;

export const ShownBody = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("text"), says: z.string() }),
  z.strictObject({
    kind: z.literal("table"),
    caption: z.string(),
    head: z.array(z.string()),
    rows: z.array(z.array(z.string())),
  }),
  z.strictObject({ kind: z.literal("symbols"), caption: z.string(), groups: z.array(z.string()) }),
  z.strictObject({
    kind: z.literal("signal"),
    caption: z.string(),
    frequency: z.boolean(),
    picture: PictureBody,
  }),
]);
export type ShownBody = z.infer<typeof ShownBody>;

const options = z.array(z.strictObject({ id: z.string(), words: z.string() }));

export const AskedBody = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("quantity"), unit: z.enum(UNITS) }),
  z.strictObject({ kind: z.literal("bits") }),
  z.strictObject({ kind: z.literal("hex") }),
  z.strictObject({ kind: z.literal("words") }),
  z.strictObject({ kind: z.literal("choice"), options }),
  z.strictObject({ kind: z.literal("choices"), options }),
  z.strictObject({ kind: z.literal("order"), options }),
]);
export type AskedBody = z.infer<typeof AskedBody>;

export const MaterialBody = z.strictObject({
  id: z.string(),
  title: z.string(),
  rung,
  question: z.string(),
  gives: z.array(ShownBody),
  asks: AskedBody,
  hintCount: z.int(),
  cautions: z.array(z.string()),
});
export type MaterialBody = z.infer<typeof MaterialBody>;

const RungBody = z.strictObject({
  rung: z.enum(RUNGS),
  passed: z.boolean().nullable(),
  reason: z.string(),
  because: z.string(),
  measured: z.number().nullable(),
  needed: z.number().nullable(),
  unit: z.string().nullable(),
  nextStep: z.string().nullable(),
});

export const RevealBody = z.strictObject({
  answer: z.string(),
  says: z.string(),
  ladderOf: z.string().nullable(),
  ladder: z.array(RungBody),
  picture: PictureBody.nullable(),
  ranked: z.array(
    z.strictObject({
      words: z.string(),
      probability: z.number(),
      reasons: z.array(z.strictObject({ words: z.string(), weight: z.number() })),
    }),
  ),
  sources: z.array(z.string()),
});
export type RevealBody = z.infer<typeof RevealBody>;

/** One go at an exercise. */
export const SittingBody = z.strictObject({
  /** Nobody guesses it. */
  id: z.string(),
  set: z.strictObject({ id: z.string(), title: z.string() }),
  material: MaterialBody,
  state: z.enum(["looking", "solved", "told"]),
  tries: z.int(),
  /** Those that were asked for. */
  hints: z.array(z.string()),
  /** Once it is solved or told. */
  reveal: RevealBody.nullable(),
  /** Whether what is on the air here can be kept as a recording. */
  hasRecording: z.boolean(),
});
export type SittingBody = z.infer<typeof SittingBody>;

export const SittingNewBody = z.strictObject({ set: z.string().max(80), exercise: z.string().max(80) });
export const AnswerGivenBody = z.strictObject({
  answer: z.union([z.string().max(400), z.array(z.string().max(80)).max(20)]),
});
export const AnsweredBody = z.strictObject({ right: z.boolean(), says: z.string(), sitting: SittingBody });
export type AnsweredBody = z.infer<typeof AnsweredBody>;
export const SittingKeptBody = z.strictObject({ hash: z.string() });
export type SittingKeptBody = z.infer<typeof SittingKeptBody>;

/** A set with all of it, as its file: answers too. */
export const ExerciseSetFileBody = ExerciseSet;
export type ExerciseSetFileBody = z.infer<typeof ExerciseSet>;
/** The file first: where neither fits, complaints are of the set. */
export const ExerciseSetNewBody = z.union([ExerciseSet, z.strictObject({ copyOf: z.string().max(80) })]);

export const PreviewAskedBody = z.strictObject({
  set: ExerciseSet,
  exercise: z.string().max(80),
  /** Which draw; another number, another draw. */
  draw: z.int().min(0).max(1e6),
});
/** What a student would see, what the reveal would say, and whether the tool finds the stated answer itself. */
export const PreviewBody = z.strictObject({
  /** `null` where the draw does not work out. */
  shown: z
    .strictObject({
      material: MaterialBody,
      hints: z.array(z.string()),
      reveal: RevealBody,
      /** What the tool finds, and whether it is the stated answer. */
      found: z.string(),
      agrees: z.boolean(),
    })
    .nullable(),
  /** What is not as it should be: the key in the exercise, and a sentence. */
  complaints: z.array(z.strictObject({ key: z.string(), says: z.string() })),
});
export type PreviewBody = z.infer<typeof PreviewBody>;
