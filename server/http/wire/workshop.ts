import { z } from "zod";
import { LayoutShape, LINE_CODES } from "../../../decoders/layouts/schema.ts";
import { MOST_STEPS, WORKSHEET } from "../../../decoders/workshop/worksheet.ts";

// The workshop over the wire. Places are bits of the frames as `workedOut` shows them, in symbols where it says so.

const hex = z.string().regex(/^[0-9a-f]*$/);
const text = (most: number) => z.string().max(most);
const id = z.string().min(1).max(300);
const modulation = z.enum(["ask", "fsk"]);
const lineCode = z.enum(LINE_CODES);
const FieldBody = LayoutShape.shape.fields.element;
const CheckBody = LayoutShape.shape.checks.element;
const figure = z.number().min(-200).max(5000).nullable();
const value = z.union([z.number(), z.string(), z.boolean()]).nullable();

export const TestFrameBody = z.strictObject({
  from: z.string(),
  carrierHz: z.number(),
  modulation,
  symbolRate: z.number(),
  symbols: hex,
  symbolCount: z.int().min(0),
  bits: hex,
  values: z.record(z.string(), value),
});

const SheetBurstBody = z
  .strictObject({
    id,
    source: id,
    atSeconds: z.number(),
    durationSeconds: z.number().min(0).max(3600),
    carrierHz: z.number().min(0).max(1e11),
    modulation,
    deviationHz: z.number().min(0).nullable(),
    symbolRate: z.number().positive().max(1e7),
    symbols: hex.max(16_384),
    symbolCount: z.int().min(1).max(65_536),
    /** How sure each symbol is: base64, a byte each, 16 · ln of its odds. */
    sureness: z
      .string()
      .regex(/^[A-Za-z0-9+/]*={0,2}$/)
      .max(90_000)
      .nullable(),
    /** Where it can be looked at: hash and index of a recording's burst. */
    recording: z.strictObject({ hash: z.string(), index: z.int().min(0) }).nullable(),
  })
  .refine(({ symbols, symbolCount }) => symbols.length === Math.ceil(symbolCount / 4), {
    path: ["symbols"],
    error: "as many hex digits as its symbols fill, four a digit",
  });

const SheetLogBody = z.strictObject({
  id,
  name: text(300),
  readings: z
    .array(z.strictObject({ atSeconds: z.number(), kPa: z.number().nullable(), degC: z.number().nullable() }))
    .max(100_000),
});

const AnchorBody = z.strictObject({ burst: id, symbol: z.int() });

const DecidedBody = z.strictObject({
  sources: z.array(id).max(10_000),
  leftOut: z.array(id).max(10_000),
  /** A burst of the group that is meant. */
  group: id.nullable(),
  lineCode: lineCode.nullable(),
  logs: z.array(id).max(100),
  /** What was read off a gauge for bursts of their own. */
  figures: z.array(z.strictObject({ of: z.array(id).min(1).max(10_000), kPa: figure, degC: figure })).max(10_000),
  /** Fields that were named by hand. */
  named: z.array(FieldBody).max(256),
  check: z.union([CheckBody, z.literal("none")]).nullable(),
  /** Where frames began when places in them were told. */
  anchors: z.array(AnchorBody).max(64),
  naming: z.strictObject({ id: text(64), title: text(200), notes: text(4000), source: text(300) }),
});

/** Of a worksheet's file. */
const WorksheetBody = z.strictObject({
  format: z.literal(WORKSHEET),
  title: text(200),
  sources: z
    .array(z.strictObject({ id, name: text(300), fromSeconds: z.number(), cutTogether: z.boolean() }))
    .max(10_000),
  bursts: z.array(SheetBurstBody).max(100_000),
  logs: z.array(SheetLogBody).max(100),
  now: DecidedBody,
  done: z.array(z.strictObject({ says: text(400), before: DecidedBody.partial() })).max(MOST_STEPS),
  takenBack: z.array(z.strictObject({ says: text(400), after: DecidedBody.partial() })).max(MOST_STEPS),
});

export const WorksheetHeadBody = z.strictObject({
  id: z.string(),
  revision: z.int().min(1),
  createdAt: z.string(),
  changedAt: z.string(),
  title: z.string(),
  burstCount: z.int().min(0),
  /** The job card that it was begun from. */
  jobId: z.string().nullable(),
});
export type WorksheetHeadBody = z.infer<typeof WorksheetHeadBody>;

export const StoredWorksheetBody = WorksheetHeadBody.extend({ worksheet: WorksheetBody });
export type StoredWorksheetBody = z.infer<typeof StoredWorksheetBody>;

/** What a step changed; bursts and logs stay as they were. */
export const WorksheetStepped = WorksheetHeadBody.extend(
  WorksheetBody.pick({ now: true, done: true, takenBack: true }).shape,
);

/** Empty, from a job card or as a file has it. */
export const WorksheetNewBody = z.union([
  z.strictObject({ title: z.string().min(1).max(200) }),
  z.strictObject({ job: z.string().min(1).max(20) }),
  z.strictObject({ worksheet: WorksheetBody }),
]);

/** Where bursts that nothing reads come from. */
export const WorksheetBringBody = z.union([
  z.strictObject({ recordings: z.array(z.string().min(1)).min(1).max(2000) }),
  z.strictObject({
    receivers: z.array(z.string().min(1)).min(1).max(100),
    /** Of the server's last ones. */
    minutes: z.number().positive().max(10_000),
  }),
]);

/** A recording with bursts that were cut into symbols and read by no layout. */
export const UnreadBody = z.strictObject({ hash: z.string(), name: z.string(), count: z.int().min(1) });
export type UnreadBody = z.infer<typeof UnreadBody>;

export const WorksheetLogNewBody = z.strictObject({
  name: z.string().min(1).max(300),
  /** Lines of time, kPa and °C, parted by commas or semicolons. Seconds count from the first burst's source. */
  text: z.string(),
});

export const WorksheetStepBody = z.union([
  z.strictObject({ says: z.string().min(1).max(400), change: DecidedBody.partial() }),
  z.strictObject({ title: z.string().min(1).max(200) }),
  z.strictObject({ takeBack: z.literal(true) }),
  z.strictObject({ doAgain: z.literal(true) }),
]);
export type WorksheetStepBody = z.infer<typeof WorksheetStepBody>;

const WorkedFieldBody = z.strictObject({
  field: FieldBody,
  named: z.boolean(),
  residual: z.number().nullable(),
  points: z.int().min(0),
  lnChance: z.number().nullable(),
  constants: z.array(
    z.strictObject({
      unit: z.string(),
      scale: z.number(),
      offset: z.number(),
      reference: z.enum(["gauge", "absolute"]).optional(),
      behind: z.number(),
    }),
  ),
  rivals: z.array(FieldBody),
});

const ComplaintBody = z.strictObject({ path: z.string(), found: z.string(), allowed: z.string() });

const WorkedFramesBody = z.strictObject({
  lineUp: z.strictObject({
    preamble: z.string(),
    head: z.string(),
    preambleEnd: z.int().min(0),
    codes: z.array(
      z.strictObject({
        lineCode,
        inverted: z.boolean(),
        /** ln of how much less likely a burst is with it than with the likeliest. */
        behind: z.number().min(0),
        brokenShare: z.number(),
        taken: z.boolean(),
      }),
    ),
    whitened: z.string().nullable(),
    damaged: z.array(z.string()),
  }),
  /** What was told by its place, in the places shown here, whether it applies or not. */
  told: DecidedBody.pick({ named: true, check: true, anchors: true }),
  bitCount: z.int().min(1),
  skippedBits: z.int().min(0),
  bits: z.array(
    z.strictObject({
      ones: z.number(),
      /** Bits. */
      entropy: z.number(),
      flips: z.number(),
      tellsSender: z.number(),
      likeness: z.enum(["constant", "identity", "counter", "slow value", "flag", "check"]),
      companion: z.int().nullable(),
      companionBits: z.number(),
    }),
  ),
  senders: z
    .strictObject({
      at: z.int().min(0),
      bits: z.int().min(1),
      rows: z.array(
        z.strictObject({
          identity: hex,
          /** All bursts of its telegrams, also of those kept aside. */
          bursts: z.array(z.string()),
          telegrams: z.int().min(1),
          fromSeconds: z.number(),
          toSeconds: z.number(),
          values: z.array(z.strictObject({ name: z.string(), least: z.number(), most: z.number() })),
        }),
      ),
    })
    .nullable(),
  telegrams: z.array(
    z.strictObject({
      ids: z.array(z.string()).min(1),
      atSeconds: z.number(),
      sender: z.int().nullable(),
      bits: hex,
      broken: z.number(),
      kPa: z.number().nullable(),
      degC: z.number().nullable(),
      values: z.record(z.string(), value),
    }),
  ),
  /** Kept aside for the proof. */
  aside: z.array(
    z.strictObject({
      ids: z.array(z.string()).min(1),
      atSeconds: z.number(),
      kPa: z.number().nullable(),
      degC: z.number().nullable(),
    }),
  ),
  clockSeconds: z.number(),
  fields: z.array(WorkedFieldBody),
  checks: z.array(z.strictObject({ says: z.string(), check: CheckBody, evidenceBits: z.number(), taken: z.boolean() })),
  suggestions: z.array(z.strictObject({ ask: z.string(), because: z.string(), bits: z.number() })),
  layout: LayoutShape.nullable(),
  complaints: z.array(ComplaintBody),
  proof: z.strictObject({
    tested: z.array(
      z.strictObject({
        ids: z.array(z.string()),
        atSeconds: z.number(),
        verified: z.boolean(),
        identity: z.string().optional(),
        figures: z.array(z.strictObject({ quantity: z.string(), measured: z.number(), said: z.number() })),
      }),
    ),
    hits: z.int().min(0),
    doubts: z.array(z.string()),
  }),
});

/** What follows from a worksheet as it is. */
export const WorkedOutBody = z.strictObject({
  revision: z.int().min(1),
  stations: z.array(
    z.strictObject({
      name: z.enum(["gather", "line up", "what moves", "name", "check", "prove"]),
      says: z.array(z.string()),
    }),
  ),
  groups: z.array(
    z.strictObject({
      bursts: z.array(z.string()),
      carrierHz: z.number(),
      modulation,
      deviationHz: z.number().nullable(),
      symbolRate: z.number(),
      symbolCount: z.int().min(0),
      chosen: z.boolean(),
    }),
  ),
  apart: z.array(z.strictObject({ id: z.string(), because: z.string() })),
  frames: WorkedFramesBody.nullable(),
});
export type WorkedOutBody = z.infer<typeof WorkedOutBody>;
