import { z } from "zod";
import { RUNGS } from "../../decoders/records.ts";

// The schema of what goes over the wire, for other programs. The decoders' own types are written beside the code that
// makes them; a test holds the two together.

const rungName = z.enum(RUNGS);
const index = z.int().min(0);
const hex = z.string().regex(/^[0-9a-f]*$/);
const modulation = z.enum(["ask", "fsk"]);

const RungBody = z.strictObject({
  rung: rungName,
  passed: z.boolean().nullable(),
  reason: z.string().min(1),
  because: z.string().min(1),
  measured: z.number().nullable(),
  needed: z.number().nullable(),
  unit: z.string().nullable(),
  nextStep: z.string().nullable(),
});

const BurstBody = z.strictObject({
  kind: z.literal("burst"),
  index,
  file: z.string(),
  atSeconds: z.number(),
  durationSeconds: z.number().min(0),
  carrierHz: z.number(),
  modulation: modulation.nullable(),
  deviationHz: z.number().nullable(),
  symbolRate: z.number().nullable(),
  symbolRateUncertainty: z.number().nullable(),
  snrDb: z.number().nullable(),
  levelDbfs: z.number().nullable(),
  clipped: z.boolean(),
  outcome: z.union([z.literal("telegram"), z.literal("repeat"), rungName]),
  layout: z.string().nullable(),
  symbols: hex.nullable(),
  symbolCount: index,
  rungs: z.array(RungBody),
});

const FieldValueBody = z.strictObject({
  raw: z.number(),
  value: z.union([z.number(), z.string(), z.boolean()]).nullable(),
  unit: z.string().nullable(),
  plausible: z.boolean(),
  kPaGauge: z.number().optional(),
  ambientKpa: z.number().optional(),
});

const TelegramBody = z.strictObject({
  kind: z.literal("telegram"),
  file: z.string(),
  burst: index,
  repeats: z.array(index).min(1),
  layout: z.string(),
  atSeconds: z.number(),
  carrierHz: z.number(),
  bits: hex,
  bitCount: z.int().min(1),
  verified: z.boolean(),
  repairedBits: index,
  falseAcceptProbability: z.number().min(0).max(1),
  uncheckedBits: index,
  snrDb: z.number().nullable(),
  fields: z.record(z.string(), FieldValueBody),
});

const InterfererBody = z.strictObject({
  carrierHz: z.number(),
  levelDbfs: z.number(),
  overNoiseDb: z.number(),
  share: z.number().min(0).max(1),
});

const SummaryBody = z.strictObject({
  kind: z.literal("summary"),
  file: z.string(),
  seconds: z.number().min(0),
  bursts: index,
  telegrams: index,
  sensors: z.array(z.string()),
  samplesPerSecond: z.number().nullable(),
  interferers: z.array(InterfererBody),
  rungs: z.array(RungBody),
});

/** One line of `analyse --json`. */
export const RecordBody = z.discriminatedUnion("kind", [BurstBody, TelegramBody, SummaryBody]);
export type RecordBody = z.infer<typeof RecordBody>;
