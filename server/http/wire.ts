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

export const BurstBody = z.strictObject({
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

export const TelegramBody = z.strictObject({
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

export const SummaryBody = z.strictObject({
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

// The bodies of the HTTP interface. The pages import their types only.

export const ProblemBody = z.strictObject({
  type: z.string(),
  title: z.string(),
  status: z.int(),
  detail: z.string(),
  instance: z.string().optional(),
  /** What somebody can do about it, most useful first. */
  nextSteps: z.array(z.string()).min(1),
  /** Of a body that does not fit: each offending key. */
  complaints: z.array(z.strictObject({ path: z.string(), found: z.string(), allowed: z.string() })).optional(),
  /** Of a write that was based on an older revision: what is there now. */
  current: z.unknown().optional(),
});

export const HealthBody = z.strictObject({ status: z.literal("ok"), version: z.string() });

export const CaptureBody = z.strictObject({ sampleStart: z.int().min(0), carrierHz: z.number().nullable() });

export const RecordingBody = z.strictObject({
  /** SHA-512 of the sample bytes, lower-case hex. */
  hash: z.string().regex(/^[0-9a-f]{128}$/),
  name: z.string(),
  sampleType: z.enum(["ci16_le", "ci8", "cu8", "cf32_le"]),
  sampleRateHz: z.number(),
  sampleCount: z.int().min(0),
  seconds: z.number(),
  captures: z.array(CaptureBody),
  addedAt: z.string(),
  /** Came with the house, and goes with "remove all samples". */
  sample: z.boolean(),
  analysis: z.strictObject({
    state: z.enum(["waiting", "running", "done", "failed"]),
    because: z.string().nullable(),
    /** Share done, 0 to 1. */
    progress: z.number().min(0).max(1),
  }),
  summary: SummaryBody.nullable(),
});

/** Min and max of the level, column by column; dBFS is left to the page. */
export const SignalBody = z.strictObject({
  fromSeconds: z.number(),
  toSeconds: z.number(),
  columns: z.int().min(1).max(4096),
  /** Linear level |x|, full scale 1; one a column. */
  least: z.array(z.number()),
  most: z.array(z.number()),
});

export const NoteBody = z.strictObject({
  id: z.string(),
  fromSeconds: z.number(),
  toSeconds: z.number(),
  lowHz: z.number().nullable(),
  highHz: z.number().nullable(),
  label: z.string().max(20),
  comment: z.string().max(4000),
});

export const NoteInputBody = NoteBody.omit({ id: true });

/** A telegram as the store keeps it: live ones are revised as copies come in. */
export const StoredTelegramBody = z.strictObject({
  id: z.string(),
  revision: z.int().min(1),
  /** RFC 3339 UTC, microseconds; of a recording without a time of day the time it was added plus the offset. */
  at: z.string(),
  receiverId: z.string().nullable(),
  recordingHash: z.string().nullable(),
  identity: z.string().nullable(),
  telegram: TelegramBody,
});

export const StoredBurstBody = z.strictObject({
  id: z.string(),
  at: z.string(),
  receiverId: z.string(),
  burst: BurstBody,
});

export const ReceiverNewBody = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("serial"),
    name: z.string().min(1).max(80),
    path: z.string().min(1).max(400),
    baudRate: z.int().min(50).max(4_000_000),
  }),
  z.strictObject({ kind: z.literal("tcp"), name: z.string().min(1).max(80), port: z.int().min(0).max(65535) }),
  z.strictObject({ kind: z.literal("samples"), name: z.string().min(1).max(80), port: z.int().min(0).max(65535) }),
  z.strictObject({
    kind: z.literal("replay"),
    name: z.string().min(1).max(80),
    path: z.string().min(1).max(4000),
    speed: z.number().positive().max(1e6),
  }),
]);

/** Of a serial receiver path and rate, of one that listens its port; the name of any. */
export const ReceiverChangeBody = z.strictObject({
  name: z.string().min(1).max(80).optional(),
  path: z.string().min(1).max(4000).optional(),
  baudRate: z.int().min(50).max(4_000_000).optional(),
  port: z.int().min(0).max(65535).optional(),
});

export const SerialPortBody = z.strictObject({
  path: z.string(),
  /** In plain words. */
  name: z.string(),
});

export const GapBody = z.strictObject({
  boot: z.string().nullable(),
  from: z.int(),
  to: z.int(),
  noticedAt: z.string(),
  /** `open`: asked for again; `filled`; `lost`: the receiver no longer has them. */
  state: z.enum(["open", "filled", "lost"]),
});

export const ReceiverBody = z.strictObject({
  id: z.string(),
  name: z.string(),
  kind: z.enum(["serial", "tcp", "samples", "stdin", "replay"]),
  path: z.string().nullable(),
  baudRate: z.int().nullable(),
  port: z.int().nullable(),
  state: z.enum(["connecting", "listening", "away", "stopped"]),
  /** One sentence: what it is doing and, when it is away, what to do. */
  says: z.string(),
  since: z.string(),
  lastHeardAt: z.string().nullable(),
  carrierHz: z.array(z.number()),
  lines: z.int(),
  bursts: z.int(),
  telegrams: z.int(),
  quarantined: z.int(),
  gaps: z.array(GapBody),
});

export const QuarantineBody = z.strictObject({
  id: z.string(),
  receiverId: z.string(),
  at: z.string(),
  /** The line as it came, cut to 2,000 characters. */
  text: z.string(),
  because: z.string(),
  path: z.string(),
});

const sensorId = z.string().max(40);
const position = z.string().min(1).max(40);
const words = z.string().max(2000);
const placardKpa = z.number().min(0).max(2000).nullable();

const wheel = z.strictObject({
  /** Such as "left front". */
  position,
  identity: z.string().nullable(),
  /** What a hand gauge showed. */
  handGaugeKpa: z.number().min(0).max(2000).nullable().default(null),
  dateCode: z.string().max(40).default(""),
  /** A sensor put in at this visit. */
  replaced: z
    .strictObject({ oldIdentity: sensorId.nullable(), blank: z.boolean(), copied: z.boolean(), at: z.string() })
    .nullable()
    .default(null),
});

const wakes = z.array(z.strictObject({ position, at: z.string().max(40) })).max(500);
const moved = z.array(z.strictObject({ identity: sensorId, to: z.enum(["this car", "nearby"]) })).max(500);
const answers = z
  .array(
    z.strictObject({
      position: position.nullable(),
      step: z.string().max(80),
      answer: z.string().max(80),
      at: z.string().max(40),
    }),
  )
  .max(500);

/** A whole card, as people fill it. */
export const JobInputBody = z.strictObject({
  plate: z.string().max(40),
  vehicle: z.string().max(120),
  kind: z.enum(["car", "motorcycle", "dual rear wheels", "trailer"]),
  odometerKm: z.number().min(0).max(10_000_000).nullable(),
  visit: z.enum(["lamp steady", "lamp flashing", "before tyre work", "rotation", "second set", "other"]).nullable(),
  signedBefore: z.string().max(120),
  complaint: words,
  placardFrontKpa: placardKpa,
  placardRearKpa: placardKpa,
  placardSpareKpa: placardKpa,
  placardUnit: z.enum(["kPa", "psi", "bar"]).nullable(),
  tyreType: z.string().max(40),
  ambientKpa: z.number().min(30).max(120).nullable(),
  ambientC: z.number().min(-60).max(70).nullable(),
  altitudeM: z.number().min(-500).max(6000).nullable(),
  drivenLately: z.boolean().nullable(),
  expectedCarrierHz: z.number().min(1e6).max(6e9).nullable(),
  expectedLayout: z.string().max(80),
  vehicleList: z.string().max(4000),
  vehicleNotes: words,
  wheels: z.array(wheel).min(1).max(24),
  walkOrder: z.array(position).max(24),
  wakes,
  moved,
  /** Receivers and recordings that this visit listens to. */
  receiverIds: z.array(z.string()).max(50),
  recordingHashes: z.array(z.string()).max(50),
  answers,
  codesBefore: words,
  codesAfter: words,
  relearn: z.string().max(40),
  readBack: z.array(z.strictObject({ position, identity: sensorId })).max(24),
  proofFrom: z.string().max(40).nullable(),
  lampOffBy: z.string().max(120),
  finding: words,
  cause: words,
  done: words,
  advised: words,
  notChecked: words,
});

/** A new card: what every card has had from the first, and of the rest what is known. */
export const JobNewBody = JobInputBody.partial().required({
  plate: true,
  vehicle: true,
  odometerKm: true,
  complaint: true,
  placardFrontKpa: true,
  placardRearKpa: true,
  placardSpareKpa: true,
  ambientKpa: true,
  wheels: true,
  receiverIds: true,
  recordingHashes: true,
});

/** The entries that change; the others stay as they are. `says`: what was done, for the list of changes. */
export const JobChangeBody = JobInputBody.partial().extend({ says: z.string().max(200).optional() });

/** A wheel is woken now. */
export const WakeBody = z.strictObject({ position });

/** What was done to a card; `before` has the entries that it changed, as they were. */
export const JobHistoryBody = z.strictObject({
  revision: z.int().min(1),
  at: z.string(),
  says: z.string(),
  before: JobInputBody.partial(),
});

/** A job in the bin, from which it goes for good after `goesAt`. */
export const RemovedJobBody = z.strictObject({
  id: z.string(),
  plate: z.string(),
  vehicle: z.string(),
  removedAt: z.string(),
  goesAt: z.string(),
});

/** What an earlier card says of the same vehicle. */
export const EarlierBody = z.strictObject({
  id: z.string(),
  createdAt: z.string(),
  same: z.enum(["plate", "vehicle"]),
  card: JobInputBody,
});

/** What one wheel's line says, worked out by the server from the telegrams of the visit. */
export const WheelLineBody = z.strictObject({
  position: z.string(),
  identity: z.string().nullable(),
  state: z.enum(["heard", "sending, not readable", "not heard"]),
  telegramId: z.string().nullable(),
  carrierHz: z.number().nullable(),
  temperatureC: z.number().nullable(),
  battery: z.enum(["good", "low"]).nullable(),
  gaugeKpa: z.number().nullable(),
  placardKpa: z.number().nullable(),
  /** At or below it the US rule wants the lamp lit; `null` where that says nothing. */
  lampKpa: z.number().nullable(),
  /** Loudest telegram of the visit over the noise. */
  snrDb: z.number().nullable(),
  /** What the tyre holds cold, where that was measured or follows from what is on the card. */
  cold: z
    .strictObject({ gaugeKpa: z.number(), plusMinusKpa: z.number(), of: z.enum(["hand gauge", "sensor"]) })
    .nullable(),
  /** Whether its identity was put on it by hand, or follows from the order of the wakes. */
  identityBy: z.enum(["hand", "wake"]).nullable(),
  strength: z.enum(["as expected", "look here", "stop"]),
  finding: z.string(),
});

/** What one wheel's sensor said, at this visit and before, oldest first. */
export const CurveBody = z.strictObject({
  position: z.string(),
  identity: z.string(),
  placardKpa: z.number().nullable(),
  lampKpa: z.number().nullable(),
  /** Readings there are; of many, only the lowest and highest of each stretch are among the points. */
  count: index,
  points: z.array(
    z.strictObject({ at: z.string(), gaugeKpa: z.number().nullable(), temperatureC: z.number().nullable() }),
  ),
});

/** The vehicle's list held against what was heard, what to register, and how. */
export const PuttingRightBody = z.strictObject({
  list: z.strictObject({
    entries: z.array(z.strictObject({ text: z.string(), kind: z.string(), says: z.string() })),
    refused: z.array(z.strictObject({ text: z.string(), says: z.string() })),
    wheels: z.array(z.strictObject({ position: z.string(), kind: z.string(), says: z.string() })),
  }),
  registration: z.strictObject({
    lines: z.array(
      z.strictObject({
        position: z.string(),
        identity: z.string(),
        large: z.string(),
        decimal: z.string(),
        qrText: z.string(),
      }),
    ),
    missing: z.array(z.string()),
    qrText: z.string(),
  }),
  kinds: z.array(z.strictObject({ id: z.string(), name: z.string() })),
  /** Of the kind that the card names. */
  relearn: z
    .strictObject({
      name: z.string(),
      steps: z.array(z.strictObject({ do: z.string(), caution: z.string().nullable() })),
      facts: z.array(z.strictObject({ says: z.string(), source: z.string(), status: z.string() })),
    })
    .nullable(),
  /** What the trouble codes before and after clearing have in common, without their meaning. */
  codes: z.string(),
});

/** What is known of one wheel beside its line. */
export const WheelMoreBody = z.strictObject({
  position: z.string(),
  couldWeHaveHeardIt: z.string(),
  wasItWoken: z.string(),
  /** How it differs from its siblings, a sentence each. */
  oddOneOut: z.array(z.string()),
  /** Causes, the most probable first; none where there is nothing to explain. */
  ranking: z.array(
    z.strictObject({
      id: z.string(),
      words: z.string(),
      probability: z.number(),
      /** Above 0 a reason speaks for the cause, below against it. */
      reasons: z.array(z.strictObject({ words: z.string(), weight: z.number() })),
    }),
  ),
  /** What to do next, what tells most per minute first. */
  steps: z.array(
    z.strictObject({
      id: z.string(),
      words: z.string(),
      minutes: z.number(),
      bits: z.number(),
      caution: z.string().nullable(),
      answers: z.array(z.strictObject({ id: z.string(), words: z.string() })),
    }),
  ),
  /** At or below which pressure the lamp must be lit, by which rule; or why a rule says nothing. */
  rules: z.array(
    z.strictObject({
      words: z.string(),
      kpa: z.number().nullable(),
      source: z.string().nullable(),
      status: z.enum(["read", "from memory"]).nullable(),
    }),
  ),
  /** Loss since earlier visits, in words; `null` where there was none. */
  loss: z.string().nullable(),
  /** How old the sensors of this car are, where their dates were read. */
  age: z.string().nullable(),
  /** Other cards on which this sensor is, or was taken out, newest first. */
  visits: z.array(
    z.strictObject({ id: z.string(), createdAt: z.string(), position: z.string(), takenOut: z.boolean() }),
  ),
});

/** What came of a wake. */
export const WakeAnswerBody = z.strictObject({
  position: z.string(),
  at: z.string(),
  by: z.enum(["button", "receiver"]),
  outcome: z.enum(["itself", "another", "sibling", "unclear", "nobody"]),
  answeredBy: z.string().nullable(),
  identity: z.string().nullable(),
  because: z.string(),
});

/** What a wheel said before the card's `proofFrom`, and whether it was heard after it. */
export const ProofBody = z.strictObject({
  position: z.string(),
  /** Whether it was heard before. */
  heard: z.boolean(),
  /** The newest before; `null` where it was not heard or told none. */
  gaugeKpa: z.number().nullable(),
  heardAfter: z.boolean(),
});

export const JobBody = JobInputBody.extend({
  id: z.string(),
  revision: z.int().min(1),
  createdAt: z.string(),
  changedAt: z.string(),
  sample: z.boolean(),
  lines: z.array(WheelLineBody),
  /** Sensors heard that no wheel has. */
  others: z.array(
    z.strictObject({
      identity: z.string(),
      telegramId: z.string(),
      layout: z.string(),
      carrierHz: z.number(),
      gaugeKpa: z.number().nullable(),
      snrDb: z.number().nullable(),
      side: z.enum(["this car", "nearby"]),
      because: z.string(),
    }),
  ),
  /** Empty without a `proofFrom`. */
  proof: z.array(ProofBody),
  /** In the order of time. */
  walk: z.array(WakeAnswerBody),
  unreadableBursts: z.int(),
});

/** A stretch of listening for a job; `endedAt` is `null` while it goes on. */
export const RunBody = z.strictObject({ id: z.string(), startedAt: z.string(), endedAt: z.string().nullable() });

export const RunChangeBody = z.strictObject({ ended: z.literal(true) });

export const LayoutEntryBody = z.strictObject({
  id: z.string(),
  version: z.int().min(1),
  builtin: z.boolean(),
  addedAt: z.string().nullable(),
  layout: z.unknown(),
});

// The web takes the empty card from here; the domain has it.
export { emptyJob, emptyWheel } from "../jobs/jobCard.ts";
// A sensor ID is read back in the page itself, group by group.
export { readBackOf } from "../jobs/registration.ts";

/** How many went. */
export const SamplesRemovedBody = z.strictObject({ recordings: index, jobs: index });

// What the events say; an event of a telegram, a burst or a receiver carries its whole body.

/** A job card changed; without a revision it was removed. */
export const JobEventBody = z.strictObject({ id: z.string(), revision: z.int().min(1).optional() });

/** A recording came or its analysis went on; without an analysis it was removed. */
export const RecordingEventBody = z.strictObject({
  hash: z.string(),
  analysis: RecordingBody.shape.analysis.optional(),
});

/** What was missed is no longer there: ask for everything anew. */
export const SnapshotEventBody = z.strictObject({ because: z.string() });

export type ProofBody = z.infer<typeof ProofBody>;
export type ProblemBody = z.infer<typeof ProblemBody>;
export type HealthBody = z.infer<typeof HealthBody>;
export type CaptureBody = z.infer<typeof CaptureBody>;
export type RecordingBody = z.infer<typeof RecordingBody>;
export type SignalBody = z.infer<typeof SignalBody>;
export type NoteBody = z.infer<typeof NoteBody>;
export type NoteInputBody = z.infer<typeof NoteInputBody>;
export type StoredTelegramBody = z.infer<typeof StoredTelegramBody>;
export type StoredBurstBody = z.infer<typeof StoredBurstBody>;
export type ReceiverNewBody = z.infer<typeof ReceiverNewBody>;
export type ReceiverChangeBody = z.infer<typeof ReceiverChangeBody>;
export type SerialPortBody = z.infer<typeof SerialPortBody>;
export type GapBody = z.infer<typeof GapBody>;
export type ReceiverBody = z.infer<typeof ReceiverBody>;
export type QuarantineBody = z.infer<typeof QuarantineBody>;
export type JobInputBody = z.infer<typeof JobInputBody>;
export type JobNewBody = z.infer<typeof JobNewBody>;
export type JobChangeBody = z.infer<typeof JobChangeBody>;
export type JobHistoryBody = z.infer<typeof JobHistoryBody>;
export type RemovedJobBody = z.infer<typeof RemovedJobBody>;
export type EarlierBody = z.infer<typeof EarlierBody>;
export type JobBody = z.infer<typeof JobBody>;
export type WheelLineBody = z.infer<typeof WheelLineBody>;
export type PuttingRightBody = z.infer<typeof PuttingRightBody>;
export type WheelMoreBody = z.infer<typeof WheelMoreBody>;
export type CurveBody = z.infer<typeof CurveBody>;
export type WakeAnswerBody = z.infer<typeof WakeAnswerBody>;
export type RunBody = z.infer<typeof RunBody>;
export type SamplesRemovedBody = z.infer<typeof SamplesRemovedBody>;
export type JobEventBody = z.infer<typeof JobEventBody>;
export type RecordingEventBody = z.infer<typeof RecordingEventBody>;
export type SnapshotEventBody = z.infer<typeof SnapshotEventBody>;
export type LayoutEntryBody = z.infer<typeof LayoutEntryBody>;
export type BurstBody = z.infer<typeof BurstBody>;
export type TelegramBody = z.infer<typeof TelegramBody>;
export type SummaryBody = z.infer<typeof SummaryBody>;
