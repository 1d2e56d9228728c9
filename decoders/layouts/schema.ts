import { z } from "zod";

// A frame layout as it stands in a file: which symbols a sensor sends and what its bits mean. Layouts are data; what a
// schema of keys alone cannot say (overlaps, widths that must agree) is checked in validate.ts.

const symbols = z
  .string()
  .regex(/^[01]+$/, "one or more of 0 and 1")
  .max(512);
const hex = z.string().regex(/^0x[0-9a-fA-F]{1,17}$/, "a number in hex such as 0x1ff");
const bitIndex = z.int().min(0).max(4095);
const name = z
  .string()
  .regex(/^[\p{L}\p{N}][\p{L}\p{N} _./-]{0,79}$/u, "a name of letters, digits, spaces and - _ . / such as pressure");

export const LINE_CODES = [
  "nrz",
  "nrzi",
  "manchester-ieee",
  "manchester-thomas",
  "differential-manchester",
  "biphase-mark",
  "biphase-space",
  "pulse",
] as const;

const Field = z.strictObject({
  name,
  at: bitIndex,
  bits: z.int().min(1).max(64),
  type: z.enum(["identity", "unsigned", "signed", "flag", "code", "constant"]),
  bitOrder: z.enum(["msb-first", "lsb-first"]).optional(),
  quantity: z.enum(["pressure", "temperature", "voltage", "acceleration", "count"]).optional(),
  unit: z.enum(["kPa", "psi", "bar", "degC", "degF", "V", "m/s2"]).optional(),
  scale: z
    .number()
    .refine((n) => n !== 0, "any number but 0")
    .optional(),
  offset: z.number().optional(),
  means: z.enum(["battery-low", "state", "pressure-drop", "wake-reason", "counter", "learn"]).optional(),
  reference: z.enum(["gauge", "absolute"]).optional(),
  plausible: z.tuple([z.number(), z.number()]).optional(),
  values: z
    .record(z.string().regex(/^(0|[1-9][0-9]{0,15})$/, "a whole number as text"), z.string().min(1).max(80))
    .optional(),
  equals: z.int().min(0).optional(),
});

const covers = z
  .array(z.tuple([bitIndex, z.int().min(1).max(4096)]))
  .min(1)
  .max(64);

const Check = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("crc"),
    width: z.int().min(3).max(64),
    poly: hex,
    init: hex,
    refin: z.boolean(),
    refout: z.boolean(),
    xorout: hex,
    covers,
    at: bitIndex,
  }),
  z.strictObject({
    kind: z.literal("sum"),
    width: z.int().min(1).max(32),
    init: hex.optional(),
    complement: z.boolean().optional(),
    covers,
    at: bitIndex,
  }),
  z.strictObject({
    kind: z.literal("xor"),
    width: z.int().min(1).max(32),
    init: hex.optional(),
    covers,
    at: bitIndex,
  }),
  z.strictObject({
    kind: z.literal("parity"),
    parity: z.enum(["even", "odd"]),
    covers,
    at: bitIndex,
  }),
]);

export const LayoutShape = z.strictObject({
  id: z
    .string()
    .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, "small letters, digits and single hyphens")
    .max(64),
  title: z.string().min(1).max(200),
  notes: z.string().max(4000).optional(),
  origin: z.union([z.literal("invented"), z.strictObject({ published: z.string().min(1).max(400) })]),
  carrierHz: z.array(z.number().positive().max(1e11)).min(1).max(16),
  modulation: z.enum(["ask", "fsk"]),
  deviationHz: z.number().positive().max(1e7).optional(),
  symbolRate: z.number().min(10).max(1e7),
  lineCode: z.enum(LINE_CODES),
  pulse: z.strictObject({ zero: symbols.max(64), one: symbols.max(64) }).optional(),
  preamble: z.strictObject({ symbols: symbols.max(64), repeat: z.int().min(0).max(256) }),
  sync: z.strictObject({ symbols }),
  bits: z.int().min(1).max(4096),
  whitening: z.strictObject({ poly: hex, seed: hex, reversedBytes: z.boolean().optional() }).optional(),
  repeats: z.strictObject({ count: z.int().min(1).max(256), gapSeconds: z.number().min(0).max(60) }).optional(),
  fields: z.array(Field).max(256),
  checks: z.array(Check).max(16),
});

export type Layout = z.infer<typeof LayoutShape>;
export type Field = z.infer<typeof Field>;
export type Check = z.infer<typeof Check>;
export type LineCodeName = Layout["lineCode"];
