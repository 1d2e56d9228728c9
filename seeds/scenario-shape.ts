import { z } from "zod";

// A scenario as it stands in a file: who sends what, when, how loud, and what else is on air. What keys alone cannot say
// (a layout that does not exist, a time beyond the end) is checked in scenario.ts.

const seconds = z.number().min(0).max(86_400);
const carrierHz = z.number().positive().max(1e11);
const dbfs = z.number().min(-200).max(60);
const name = z.string().min(1).max(80);
const span = { fromSeconds: seconds, toSeconds: seconds };

const Level = z.union([
  /** Mean power over a copy times the time of one frame bit, over the receiver's noise power per Hz. */
  z.strictObject({ ebN0Db: z.number().min(-30).max(120) }),
  /** Power of the carrier while it is on. */
  z.strictObject({ dbfs }),
]);

/** A number is the field's raw integer, a text a code's word, a boolean a flag. */
const FieldValue = z.union([z.int(), z.string(), z.boolean(), z.strictObject({ physical: z.number() })]);
const FieldValues = z.record(z.string(), FieldValue);

const places = z.array(z.int().min(0).max(65_535)).min(1).max(256).optional();

/** What is wrong with a telegram on purpose, alike in each of its copies. */
const Broken = z.strictObject({
  /** Frame bits that are turned after the check value was worked out. */
  flipBits: places,
  /** Symbols that are turned, counted from the first one of the frame. */
  flipSymbols: places,
  /** That many at the end of the sync are not sent. */
  cutSyncSymbols: z.int().min(1).max(4096).optional(),
  /** Likewise at the end of the frame. */
  cutEndSymbols: z.int().min(1).max(65_535).optional(),
});

const Send = z.strictObject({
  /** When the first copy's first symbol begins. */
  atSeconds: seconds,
  /** As the layout has it where it is absent, and one copy where that says nothing. */
  copies: z.int().min(1).max(256).optional(),
  gapSeconds: z.number().min(0).max(60).optional(),
  level: Level.optional(),
  /** Over the sensor's own values. */
  values: FieldValues.optional(),
  broken: Broken.optional(),
});

const Sensor = z.strictObject({
  name,
  layout: z.string(),
  identity: z.string().regex(/^[0-9a-f]{1,16}$/, "small hex digits such as 1f00ba"),
  values: FieldValues.optional(),
  /** Gauge pressure; straight lines between the points, level before the first and behind the last. */
  pressureKpa: z
    .array(z.strictObject({ atSeconds: seconds, kPa: z.number() }))
    .min(1)
    .optional(),
  temperatureC: z
    .array(z.strictObject({ atSeconds: seconds, degC: z.number() }))
    .min(1)
    .optional(),
  /** One of the layout's. */
  carrierHz,
  /** From the nominal carrier, as each copy begins. */
  offsetHz: z.number().min(-1e6).max(1e6).optional(),
  /**
   * Added to the offset, such as a crystal that warms up: straight lines between the points, level before the first and
   * behind the last.
   */
  carrierWalkHz: z
    .array(z.strictObject({ atSeconds: seconds, hz: z.number().min(-1e6).max(1e6) }))
    .min(1)
    .optional(),
  /** Over each copy. */
  driftHzPerSecond: z.number().min(-1e6).max(1e6).optional(),
  /** A fast clock, above 0, sends shorter symbols. */
  clockPpm: z.number().min(-50_000).max(50_000).optional(),
  level: Level,
  sends: z.array(Send).max(10_000).optional(),
  /** Fitted, but never sends. */
  dumb: z.literal(true).optional(),
});

const Event = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("steady-carrier"), carrierHz, dbfs, ...span }),
  z.strictObject({
    kind: z.literal("pulsed-carrier"),
    carrierHz,
    dbfs,
    ...span,
    onSeconds: z.number().positive().max(3600),
    offSeconds: z.number().positive().max(3600),
  }),
  /** Each impulse fills one sample. */
  z.strictObject({ kind: z.literal("impulses"), ratePerSecond: z.number().positive().max(1e5), dbfs, ...span }),
  /** A cell that gives out: the drop grows evenly in dB from `fromSeconds` to `toSeconds` and stays. */
  z.strictObject({ kind: z.literal("fading"), sensor: name, dropDb: z.number().min(0).max(120), ...span }),
  /** A 125 kHz wake field was switched on; only receiver lines tell of it. */
  z.strictObject({ kind: z.literal("wake"), atSeconds: seconds, position: name.optional() }),
  /** The receiver reports its level; only in its lines. */
  z.strictObject({ kind: z.literal("level"), atSeconds: seconds }),
  /** The receiver drops the bursts that begin in this time; only in its lines. */
  z.strictObject({ kind: z.literal("lost"), ...span }),
]);

/** Somebody reads a gauge and a thermometer while the recording runs, and writes down what they say. */
const GaugeLog = z.strictObject({
  /** At whose valve they are held: what they read is this sensor's pressure and temperature, not what it sends. */
  sensor: name,
  /** From the first sample on. */
  everySeconds: z.number().min(0.05).max(3600),
  /** The finest that they show. */
  stepKpa: z.number().min(0.01).max(100),
  stepDegC: z.number().min(0.01).max(100),
});

const Receiver = z.strictObject({
  name,
  sampleRateHz: z.number().min(1e3).max(2e7),
  sampleType: z.enum(["ci16_le", "ci8", "cu8", "cf32_le"]),
  /** Noise power over the whole band before the gain; full scale is an amplitude of 1. */
  noiseDbfs: dbfs,
  /** On noise and signals alike. */
  gainDb: z.number().min(-60).max(120).optional(),
  /** Added to I and Q behind the gain. */
  dcOffset: z.tuple([z.number().min(-1).max(1), z.number().min(-1).max(1)]).optional(),
  /** What 0 dBFS before the gain is at the antenna, for the lines' dBm; -20 where it is absent. */
  fullScaleDbm: z.number().min(-200).max(100).optional(),
  tunings: z
    .array(z.strictObject({ fromSeconds: seconds, carrierHz }))
    .min(1)
    .max(100),
});

export const ScenarioShape = z.strictObject({
  title: z.string().min(1).max(200),
  notes: z.string().max(4000).optional(),
  seed: z.int32(),
  durationSeconds: seconds.positive(),
  startsAt: z.string().regex(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?Z$/, "a time such as 2026-03-02T08:15:00Z"),
  receiver: Receiver,
  /** 101.325 where it is absent. */
  ambientKpa: z.number().min(30).max(120).optional(),
  /** Layouts of this scenario alone; an unknown one is not given to the decoder. */
  layouts: z
    .array(z.strictObject({ unknown: z.literal(true).optional(), layout: z.unknown() }))
    .max(50)
    .optional(),
  sensors: z.array(Sensor).max(500),
  events: z.array(Event).max(10_000).optional(),
  gaugeLog: GaugeLog.optional(),
  outputs: z
    .array(z.enum(["recording", "lines"]))
    .min(1)
    .max(2),
});

export type ScenarioFile = z.infer<typeof ScenarioShape>;
export type Sensor = z.infer<typeof Sensor>;
export type Send = z.infer<typeof Send>;
export type Broken = z.infer<typeof Broken>;
export type Level = z.infer<typeof Level>;
export type FieldValues = z.infer<typeof FieldValues>;
export type Event = z.infer<typeof Event>;
export type SampleType = ScenarioFile["receiver"]["sampleType"];
