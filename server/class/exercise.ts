import { z } from "zod";
import { RUNGS } from "../../decoders/records.ts";

// A set of exercises as it stands in a file. An exercise is data: what is drawn anew for each seat, what is on the air,
// what of it is shown, what is asked, how an answer is judged, and how the tool itself finds it.

const id = z
  .string()
  .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, "small letters, digits and dashes")
  .max(60);
/** Of something drawn, found or worked out, such as `pressureKpa`. */
const name = z.string().regex(/^[a-z][A-Za-z0-9]{0,39}$/, "a name such as pressureKpa");
/** May hold `{name}` and `{name.1}`, the latter with so many decimals. */
const text = z.string().min(1).max(1200);
/** Arithmetic on numbers and names, with the functions of formula.ts. */
const formula = z.string().min(1).max(300);

export const Draw = z.union([
  z.strictObject({ from: z.number(), to: z.number(), step: z.number().positive() }),
  z.strictObject({
    oneOf: z
      .array(z.union([z.number(), z.string().max(80)]))
      .min(1)
      .max(50),
  }),
  /** An identity, such as 1f00ba. */
  z.strictObject({ hexDigits: z.int().min(1).max(16) }),
  /** Zeros and ones. */
  z.strictObject({ bits: z.int().min(1).max(128) }),
]);

const BURST_MEASURES = [
  "atSeconds",
  "durationSeconds",
  "carrierHz",
  "modulation",
  "deviationHz",
  "symbolRate",
  "snrDb",
  "levelDbfs",
] as const;

/** Something that the tool finds: in the recording, by its diagnosis, or by its own functions. */
export const Finding = z.union([
  z.strictObject({ burst: z.int().min(0), measure: z.enum(BURST_MEASURES) }),
  /** The first rung that the burst misses; `telegram` or `repeat` where it misses none. */
  z.strictObject({ burst: z.int().min(0), outcome: z.literal(true) }),
  /** Of the rung that the burst misses first: what was measured, or what was needed. */
  z.strictObject({ burst: z.int().min(0), missed: z.enum(["measured", "needed", "reason"]) }),
  /** Symbols of a burst as zeros and ones. */
  z.strictObject({
    burst: z.int().min(0),
    symbols: z.strictObject({ from: z.int().min(0), count: z.int().min(1).max(512) }),
  }),
  /** A field's value; `raw` its integer; `gauge` its gauge pressure in kPa. */
  z.strictObject({ telegram: z.int().min(0), field: z.string().max(80), as: z.enum(["raw", "gauge"]).optional() }),
  z.strictObject({
    telegram: z.int().min(0),
    measure: z.enum(["atSeconds", "carrierHz", "snrDb", "copies", "layout"]),
  }),
  /** Bits of a telegram as zeros and ones, after the line code. */
  z.strictObject({
    telegram: z.int().min(0),
    bits: z.strictObject({ from: z.int().min(0), count: z.int().min(1).max(512) }),
  }),
  z.strictObject({ count: z.enum(["bursts", "telegrams", "sensors"]) }),
  /** The file's ladder: the first missed rung of a recording as a whole. */
  z.strictObject({ recording: z.enum(["outcome", "interfererHz", "interfererShare"]) }),
  /**
   * A drawn car: the cause that the ranking puts first, how probable it is, and the two outcomes that speak most for it;
   * of the wheel in question its state, its position and its gauge pressure.
   */
  z.strictObject({ car: z.enum(["cause", "probability", "decided", "also", "state", "position", "gaugeKpa"]) }),
  /** Which identity answered the wake of a position first. */
  z.strictObject({ answeredAfter: z.string().max(80) }),
  /** The identity that the walk gives a position; where it gives none, in a word what came of its newest wake. */
  z.strictObject({ wornAt: z.string().max(80) }),
  /** The position, as an id, to which the walk gives the identity of this name. */
  z.strictObject({ wheelOf: name }),
  z.strictObject({ formula }),
]);
export type Finding = z.infer<typeof Finding>;

export const Given = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("text"), says: text }),
  z.strictObject({
    kind: z.literal("table"),
    caption: text,
    head: z.array(text).min(1).max(12),
    rows: z
      .array(z.array(z.string().max(400)).min(1).max(12))
      .min(1)
      .max(40),
  }),
  /** Level and frequency against time, of a burst with as much around it, or of a stretch; of all where neither stands. */
  z.strictObject({
    kind: z.literal("signal"),
    caption: text,
    burst: z.int().min(0).optional(),
    fromSeconds: z.number().min(0).optional(),
    toSeconds: z.number().positive().optional(),
    /** Whether the frequency is drawn as well. */
    frequency: z.boolean().optional(),
  }),
  /** What was measured of each burst; nothing of what it means. */
  z.strictObject({ kind: z.literal("bursts"), caption: text, columns: z.array(z.enum(BURST_MEASURES)).min(1) }),
  /** Telegrams as they were read: time, identity and the fields that are named. */
  z.strictObject({ kind: z.literal("telegrams"), caption: text, fields: z.array(z.string().max(80)).max(12) }),
  /** Zeros and ones, in groups. */
  z.strictObject({
    kind: z.literal("symbols"),
    caption: text,
    says: z.string().max(600),
    group: z.int().min(1).max(64).optional(),
  }),
  /** Fields, code, rate and check of a layout. */
  z.strictObject({ kind: z.literal("layout"), layout: z.string().max(80) }),
  /** When a wheel was woken and what was heard when. */
  z.strictObject({ kind: z.literal("wakes"), caption: text }),
  /** Of a drawn car: what stands on the card and what was heard of each wheel. */
  z.strictObject({ kind: z.literal("card") }),
  /** Of a drawn car: what the technician tried and what came of it. */
  z.strictObject({ kind: z.literal("tried") }),
]);
export type Given = z.infer<typeof Given>;

export const UNITS = [
  "kPa",
  "bar",
  "psi",
  "hPa",
  "degC",
  "degF",
  "K",
  "Hz",
  "kHz",
  "MHz",
  "m",
  "cm",
  "mm",
  "s",
  "ms",
  "us",
  "Bd",
  "kBd",
  "dB",
  "dBm",
  "W",
  "mW",
  "uW",
  "nW",
  "uV/m",
  "mV/m",
  "dBuV/m",
  "ohm",
  "mohm",
  "%",
  "1",
] as const;
export type Unit = (typeof UNITS)[number];

const Option = z.strictObject({ id, words: text, also: z.array(z.string().min(1).max(80)).max(20).optional() });
export type Option = z.infer<typeof Option>;

export const Answer = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("quantity"),
    is: formula,
    unit: z.enum(UNITS),
    /** In the unit. */
    tolerance: z.number().positive(),
  }),
  /** Zeros and ones; spaces count nothing. */
  z.strictObject({ kind: z.literal("bits"), is: z.string().min(1).max(200) }),
  /** Hex digits; spaces, case and a 0x before them count nothing. */
  z.strictObject({ kind: z.literal("hex"), is: z.string().min(1).max(80) }),
  z.strictObject({ kind: z.literal("choice"), options: z.array(Option).min(2).max(12), is: z.string() }),
  /** All that hold, and no other. */
  z.strictObject({
    kind: z.literal("choices"),
    options: z.array(Option).min(2).max(12),
    are: z.array(z.string()).min(1),
  }),
  z.strictObject({ kind: z.literal("order"), options: z.array(Option).min(2).max(12), is: z.array(z.string()).min(2) }),
  /** A word or a few, any of these. */
  z.strictObject({
    kind: z.literal("words"),
    is: z.string().min(1).max(80),
    also: z.array(z.string().max(80)).max(20),
  }),
]);
export type Answer = z.infer<typeof Answer>;

/** An answer that is often given and not right, with what to say to it. */
const Wrong = z.strictObject({
  /** As somebody would type it: an option's id, or text with placeholders; for a quantity a formula in the asked unit. */
  answer: z.union([z.string().min(1).max(300), z.array(z.string()).min(1)]),
  says: text,
});

/** What the cautions of the house are about. */
export const CAUTIONS = ["wheel", "inflation", "vehicle", "transmission"] as const;

export const Exercise = z.strictObject({
  id,
  title: z.string().min(1).max(80),
  /** The rung of the check ladder that it is about; `null` where it is about none. */
  rung: z.enum(RUNGS).nullable(),
  question: text,
  draws: z.record(name, Draw).optional(),
  /** Worked out of what was drawn, in the order that stands here, before the scenario is made. */
  worked: z.record(name, formula).optional(),
  /** What is on the air, as of seeds, without a seed: `{"drawn": "name"}` stands for a value, `{name}` in a text. */
  scenario: z.unknown().optional(),
  /** In place of a scenario: a car with one hidden fault, by the id of a cause. */
  car: z.strictObject({ fault: z.string().max(60) }).optional(),
  /** Found in the recording, for the texts. */
  found: z.record(name, Finding).optional(),
  gives: z.array(Given).max(12),
  answer: Answer,
  wrong: z.array(Wrong).min(1).max(12),
  hints: z.array(text).min(1).max(6),
  reveal: text,
  /** The burst whose ladder is walked in the reveal; the whole recording's where it is left out. */
  walks: z.int().min(0).optional(),
  solvedBy: Finding,
  cautions: z.array(z.enum(CAUTIONS)).max(4).optional(),
  sources: z.array(z.string().min(1).max(300)).min(1).max(8),
});
export type Exercise = z.infer<typeof Exercise>;

export const LEVELS = ["first steps", "working knowledge", "hard cases"] as const;

export const ExerciseSet = z.strictObject({
  format: z.literal("wheelgram exercises"),
  version: z.literal(1),
  id,
  title: z.string().min(1).max(120),
  teaches: text,
  level: z.enum(LEVELS),
  minutes: z.int().min(1).max(480),
  bands: z.array(z.enum(["315 MHz", "433.92 MHz"])).max(2),
  exercises: z.array(Exercise).max(100),
});
export type ExerciseSet = z.infer<typeof ExerciseSet>;
