import { z } from "zod";
import { RUNGS } from "../../decoders/records.ts";
import { NewReceiverShape } from "../receivers/newReceiver.ts";
import { TestFrameBody } from "./wire/workshop.ts";

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
    /** While it runs, as soon as it can be told. */
    restSeconds: z.number().min(0).optional(),
  }),
  summary: SummaryBody.nullable(),
  /** Of a recording whose samples are read where they lie: which file below in-place, and whether it is as it was. */
  inPlace: z.strictObject({ path: z.string(), state: z.enum(["there", "gone", "changed"]) }).optional(),
});

// Large recordings: sent in pieces, or opened where they lie.

/** A recording that will be sent in pieces. */
export const UploadNewBody = z.strictObject({
  name: z.string().min(1).max(255),
  byteCount: z.int().min(1),
  /** Of the two files of a SigMF recording: how many bytes of metadata come before the samples. */
  metaBytes: z.int().min(1).optional(),
  type: z.enum(["ci16_le", "ci8", "cu8", "cf32_le"]).optional(),
  rate: z.number().min(1e3).max(1e9).optional(),
  carrier: z.number().positive().max(1e12).optional(),
  /** SHA-512 of the sample bytes, lower-case hex: samples that are here already are not asked for. */
  sampleHash: z
    .string()
    .regex(/^[0-9a-f]{128}$/)
    .optional(),
  /**
   * SHA-512 over the first, the middle and the last MiB of the bytes after the metadata, one after the other (over all
   * of them three times where they are fewer), lower-case hex. Tells an upload that was broken off, and a recording that
   * may be the same.
   */
  print: z
    .string()
    .regex(/^[0-9a-f]{128}$/)
    .optional(),
  /** When the file was last changed, in milliseconds since 1970; another time is another file. */
  changedMs: z.int().min(0).optional(),
});

/** How far a recording is that is sent in pieces. */
export const UploadBody = z.strictObject({
  id: z.string(),
  name: z.string(),
  byteCount: z.int().min(1),
  /** So many bytes are here and on disk: the next piece begins there. */
  offset: z.int().min(0),
  /** coming: bytes are missing. keeping: all are here and are being hashed. kept, refused: it is over. */
  state: z.enum(["coming", "keeping", "kept", "refused"]),
  /** Of what `state` says, 0 to 1. */
  progress: z.number().min(0).max(1),
  restSeconds: z.number().min(0).nullable(),
  /** Of the recording it became. */
  hash: z.string().nullable(),
  /** Why it was refused, or why it stands still with all bytes here; an empty piece then tries again. */
  because: z.string().nullable(),
  /** A recording with as many bytes and the same print, which may be the same. */
  alike: z.string().nullable(),
  /** Kept so long if no more comes. */
  expiresAt: z.string(),
});

/** A file in the folder in-place. */
export const InPlaceBody = z.strictObject({
  /** Below that folder, with slashes; of the two files of a SigMF recording its metadata. */
  path: z.string(),
  bytes: z.int().min(0),
  /** What has to be told before it can be opened. */
  asks: z.enum(["nothing", "carrier", "type and rate"]),
  state: z.enum(["not opened", "opening", "opened", "refused"]),
  progress: z.number().min(0).max(1),
  restSeconds: z.number().min(0).nullable(),
  hash: z.string().nullable(),
  because: z.string().nullable(),
});

/** The folder in-place: where it is on this computer, and what is in it. */
export const InPlaceFolderBody = z.strictObject({ folder: z.string(), files: z.array(InPlaceBody) });

/** A file to be opened where it lies, and what it does not say itself. */
export const InPlaceOpenBody = z.strictObject({
  path: z.string().min(1).max(4096),
  type: z.enum(["ci16_le", "ci8", "cu8", "cf32_le"]).optional(),
  rate: z.number().min(1e3).max(1e9).optional(),
  carrier: z.number().positive().max(1e12).optional(),
});

/** Min and max of the level, column by column; dBFS is left to the page. */
export const SignalBody = z.strictObject({
  fromSeconds: z.number(),
  toSeconds: z.number(),
  columns: z.int().min(1).max(4096),
  /** Linear level |x|, full scale 1; one a column. */
  least: z.array(z.number()),
  most: z.array(z.number()),
  // Only with ?frequency=true.
  /** Least and most frequency in the band, in Hz at RF; `null` for a column of noise, or for all of them. */
  lowestHz: z.array(z.number().nullable()).nullable().optional(),
  highestHz: z.array(z.number().nullable()).nullable().optional(),
  /** Why there are none. */
  frequencyBecause: z.string().nullable().optional(),
});

// Notes: SigMF annotations, with the keys that pages show by themselves and all others as they came.

const edgeHz = z.number().min(-1e12).max(1e12).nullable();
/** By namespace and name, as SigMF has it. What belongs to core has a key of its own, but for keys it does not know. */
const moreKeys = z.record(z.string(), z.unknown());

export const NoteBody = z.strictObject({
  id: z.string(),
  /** From the first sample of the recording; a stretch that the file does not end runs to the end of its capture. */
  fromSeconds: z.number(),
  toSeconds: z.number(),
  /** The same in samples, exact. */
  fromSample: z.int(),
  sampleCount: z.int().min(0),
  /** Both or neither. */
  lowHz: z.number().nullable(),
  highHz: z.number().nullable(),
  /** Of a file that came with it longer than the 20 characters that are taken here. */
  label: z.string(),
  comment: z.string(),
  /** Who made it: a person or a program. */
  generator: z.string().nullable(),
  uuid: z.string().nullable(),
  /** Every other key of the annotation; the file that is exported has them as they were spelled. */
  more: moreKeys,
});

const noteKeys = {
  fromSeconds: z.number().min(0),
  toSeconds: z.number().min(0),
  fromSample: z.int().min(0),
  sampleCount: z.int().min(0),
  lowHz: edgeHz,
  highHz: edgeHz,
  label: z.string().max(4000),
  comment: z.string().max(4000),
  generator: z.string().min(1).max(200).nullable(),
  uuid: z.string().regex(/^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-5][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}$/),
  more: z.record(z.string().regex(/^(?!core:)[A-Za-z_]\w*:[A-Za-z_]\w*$/), z.unknown()),
};

/** Where it lies, in seconds or in samples; samples are taken where both are there. */
export const NoteInputBody = z.strictObject({
  fromSeconds: noteKeys.fromSeconds.optional(),
  toSeconds: noteKeys.toSeconds.optional(),
  fromSample: noteKeys.fromSample.optional(),
  sampleCount: noteKeys.sampleCount.optional(),
  lowHz: noteKeys.lowHz.default(null),
  highHz: noteKeys.highHz.default(null),
  label: noteKeys.label,
  comment: noteKeys.comment,
  generator: noteKeys.generator.optional(),
  uuid: noteKeys.uuid.optional(),
  more: noteKeys.more.optional(),
});

/** What of a note changes; a key that is not there stays as it is, and so does each key of `more`. `null` takes away. */
export const NoteChangeBody = z.strictObject({
  fromSeconds: noteKeys.fromSeconds.optional(),
  toSeconds: noteKeys.toSeconds.optional(),
  fromSample: noteKeys.fromSample.optional(),
  sampleCount: noteKeys.sampleCount.optional(),
  lowHz: noteKeys.lowHz.optional(),
  highHz: noteKeys.highHz.optional(),
  label: noteKeys.label.optional(),
  comment: noteKeys.comment.optional(),
  generator: noteKeys.generator.optional(),
  uuid: noteKeys.uuid.nullable().optional(),
  more: noteKeys.more.optional(),
});

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

/** What an export has of a burst: the burst, and the telegrams that it is a copy of. */
export const ExportedFrameBody = z.strictObject({
  /** Of its first sample, RFC 3339 UTC; `null` where the recording does not say when it was made. */
  at: z.string().nullable(),
  burst: BurstBody,
  telegrams: z.array(StoredTelegramBody),
});

/** The frames of a recording, or of a stretch of it, as one file. */
export const ExportedFramesBody = z.strictObject({
  format: z.literal("wheelgram-frames"),
  version: z.literal(1),
  recording: z.strictObject({
    hash: z.string(),
    name: z.string(),
    sampleRateHz: z.number(),
    sampleCount: z.int(),
    startedAt: z.string().nullable(),
  }),
  fromSeconds: z.number(),
  toSeconds: z.number(),
  frames: z.array(ExportedFrameBody),
});

export const ReceiverNewBody = NewReceiverShape;

/** What a receiver showed of itself on the first three rungs of the check ladder. */
export const SelfCheckBody = z.strictObject({
  at: z.string(),
  seconds: z.number().min(0),
  rungs: z.array(
    z.strictObject({
      rung: z.enum(["receiver", "burst", "band"]),
      /** `null`: it was not reached, or cannot be told. */
      passed: z.boolean().nullable(),
      because: z.string().min(1),
      measured: z.number().nullable(),
      needed: z.number().nullable(),
      unit: z.string().nullable(),
      nextStep: z.string().nullable(),
    }),
  ),
  passed: z.boolean(),
});

/** Shown once: only its hash is kept. */
export const ReceiverKeyBody = z.strictObject({ key: z.string() });

export const SelfCheckAskedBody = z.strictObject({ seconds: z.number().min(0.1).max(60).optional() });

/** How a receiver fared over the last day. */
export const ReceiverDayBody = z.strictObject({
  from: z.string(),
  to: z.string(),
  /** In order, without a break; the first begins at `from` or, where nothing is known before, later. */
  states: z.array(
    z.strictObject({
      since: z.string(),
      until: z.string(),
      /** `off`: no server ran. */
      state: z.enum(["connecting", "listening", "away", "stopped", "off"]),
    }),
  ),
});

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
  /** Whether it may come in from the network, by its key, while the server is open. */
  hasKey: z.boolean(),
  state: z.enum(["connecting", "listening", "away", "stopped"]),
  /** One sentence: what it is doing and, when it is away, what to do. */
  says: z.string(),
  since: z.string(),
  lastHeardAt: z.string().nullable(),
  /** When it last brought a telegram whose check agreed. */
  provedAt: z.string().nullable(),
  /** The last one that was made. */
  selfCheck: SelfCheckBody.nullable(),
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
  /** Bursts as they were received, and what this version read in them when it came on the shelf. */
  tests: z.array(TestFrameBody),
});

// What is measured on a stored recording, anew from its samples. A value that cannot be told is `null`, with why beside it.

/** The pulse edge nearest to a moment. */
export const EdgesBody = z.strictObject({
  edge: z
    .strictObject({
      atSeconds: z.number(),
      /** From the recording's first sample; may lie between samples. */
      sample: z.number(),
      kind: z.enum(["burst begins", "burst ends", "level rises", "level falls", "tone rises", "tone falls"]),
      /** On its two sides: level of any edge, frequency of a change of tone. */
      levelBeforeDbfs: z.number(),
      levelAfterDbfs: z.number(),
      frequencyBeforeHz: z.number().nullable(),
      frequencyAfterHz: z.number().nullable(),
      /** How far noise may have moved it: one standard deviation, estimated from noise and step. */
      sigmaSamples: z.number(),
    })
    .nullable(),
  /** Why there is none. */
  because: z.string().nullable(),
  /** The band that was listened in, in Hz at RF. */
  lowHz: z.number(),
  highHz: z.number(),
});

const figure = z.number().nullable();

/** What can be measured of a burst, or of a stretch without one. Indicative: no instrument with a calibration took it. */
export const MeasuresBody = z.strictObject({
  indicative: z.literal(true),
  of: z.enum(["burst", "stretch"]),
  /** Index among the recording's bursts. */
  burst: index.nullable(),
  /** What was measured: the burst from its beginning to its end, or the stretch as it was asked for. */
  fromSeconds: z.number(),
  toSeconds: z.number(),
  durationSeconds: z.number(),
  /** Mean power while it lasted, and the strongest sample in its band. */
  levelDbfs: figure,
  peakDbfs: figure,
  /** Noise in the occupied band; of a stretch in the whole band. */
  noiseDbfs: figure,
  noiseDbfsPerHz: figure,
  snrDb: figure,
  /** In the middle of the burst, and one standard deviation. */
  carrierHz: figure,
  carrierSigmaHz: figure,
  /** The nearest nominal carrier of the shelf's layouts. */
  nominalCarrierHz: figure,
  carrierOffsetHz: figure,
  carrierOffsetPpm: figure,
  modulation: modulation.nullable(),
  deviationHz: figure,
  deviationSigmaHz: figure,
  symbolRate: figure,
  symbolRateSigma: figure,
  /** The nearest layout that fits the carrier and keying; its rate and deviation, and how far off the measured ones are. */
  layout: z.string().nullable(),
  nominalSymbolRate: figure,
  symbolRateErrorPercent: figure,
  symbolRateErrorPpm: figure,
  nominalDeviationHz: figure,
  deviationErrorPercent: figure,
  /** From 10 % to 90 % of the amplitude's step, and back; the shortest that this sample rate can show. */
  riseSeconds: figure,
  fallSeconds: figure,
  edgeResolutionSeconds: z.number(),
  /** A straight line through the carrier's frequency over the burst. */
  driftHzPerSecond: figure,
  driftSigmaHzPerSecond: figure,
  driftHz: figure,
  /** 99 %, as 47 CFR 2.202 defines it: 0.5 % of the power below, 0.5 % above. */
  occupiedLowHz: figure,
  occupiedHighHz: figure,
  occupiedHz: figure,
  /** Samples at the end of the scale, 0 to 1. */
  clippedShare: z.number(),
  /** By the key that is `null`, or needs a word: why. */
  because: z.record(z.string(), z.string()),
});

/** How one rule on how often something may send compares with what was heard. */
export const TimingRuleBody = z.strictObject({
  id: z.enum(["fcc-on-time", "fcc-silence", "srd-duty"]),
  /** The rule in a sentence, with its numbers. */
  rule: z.string(),
  source: z.string(),
  /** How sure the rule's numbers are: READ-2 was read in two places that are not the rule itself, MEMORY was not looked up. */
  status: z.string(),
  verdict: z.enum(["within", "beyond", "cannot be told", "does not apply"]),
  measured: figure,
  limit: figure,
  unit: z.enum(["s", "%"]),
  /** What was found, in a sentence. */
  says: z.string(),
});

/** When each sensor of a recording sent, held against the rules for periodic senders. */
export const TimingBody = z.strictObject({
  indicative: z.literal(true),
  recordingSeconds: z.number(),
  /** What the figures take for granted, a sentence each. */
  assumes: z.array(z.string()),
  sensors: z.array(
    z.strictObject({
      identity: z.string(),
      layout: z.string(),
      carrierHz: z.number(),
      transmissions: z.array(
        z.strictObject({
          atSeconds: z.number(),
          /** From the first copy's beginning to the last one's end. */
          durationSeconds: z.number(),
          /** The copies alone, without the silences between them. */
          onAirSeconds: z.number(),
          copies: z.int().min(1),
          /** Silence up to the next one; `null` after the last. */
          silentSeconds: figure,
        }),
      ),
      /** From one beginning to the next, the middle one of all; `null` with fewer than two transmissions. */
      repeatSeconds: figure,
      /** Silence after the copies of one transmission, the middle one; `null` where there is one copy. */
      copyGapSeconds: figure,
      onAirSeconds: z.number(),
      /** Of the recording's time, 0 to 1. */
      onShare: z.number(),
      rules: z.array(TimingRuleBody),
    }),
  ),
});

/** Power over the capture's band: a mean of transforms, each of a windowed piece that overlaps the next by half. */
export const SpectrumBody = z.strictObject({
  fromSeconds: z.number(),
  toSeconds: z.number(),
  /** Where it was tuned; `null` where the recording does not say, and frequencies count from its centre. */
  centreHz: z.number().nullable(),
  /** Outer edges of the first and the last line. */
  lowHz: z.number(),
  highHz: z.number(),
  lineHz: z.number(),
  /** The band that a line really takes in, wider than its distance from the next one. */
  resolutionHz: z.number(),
  window: z.literal("Hann"),
  segments: z.int().min(1),
  /** Power of each line, lowest frequency first; a steady carrier shows its own level. */
  dbfs: z.array(z.number()),
  /** Noise in one line. */
  noiseDbfs: z.number(),
  /** Nominal carriers of the shelf's layouts that lie in the band, or just beyond it. */
  nominal: z.array(z.strictObject({ carrierHz: z.number(), inBand: z.boolean(), layouts: z.array(z.string()) })),
  /** A word on what was left out, such as another tuning in the same stretch. */
  because: z.string().nullable(),
});

/** Where the symbols of a burst lie. */
export const BurstSymbolsBody = z.strictObject({
  found: z
    .strictObject({
      /** `null`: cut by the symbol clock alone. */
      layout: z.string().nullable(),
      /** Whether its known start is really there, or this is only the nearest try. */
      sync: z.enum(["found", "nearest try", "none"]),
      /** Samples count from the recording's first one and may lie between two. */
      firstBitSample: z.number().nullable(),
      symbolSamples: z.number(),
      /** `null`: bits differ in length, or there is no layout. */
      symbolsPerBit: z.int().nullable(),
      /** Where the first symbol begins. */
      firstSymbolSample: z.number(),
      /** Symbols before the first bit: preamble and sync. */
      symbolsBeforeBits: index,
      /** As received, each decided by itself: hex, most significant first, padded with zero bits. */
      symbols: hex,
      symbolCount: index,
      /** 16 · ln(P(right)/P(wrong)) each, 0 to 255. */
      confidence: z.array(z.int().min(0).max(255)),
    })
    .nullable(),
  because: z.string().nullable(),
});

// The web takes the empty card from here; the domain has it.
export { emptyJob, emptyWheel } from "../jobs/jobCard.ts";
// A sensor ID is read back in the page itself, group by group.
export { readBackOf } from "../jobs/registration.ts";

/** How many went. */
export const SamplesRemovedBody = z.strictObject({ recordings: index, jobs: index, lots: index });

// What the events say; an event of a telegram, a burst or a receiver carries its whole body.

/** A job card or a lot changed; without a revision it was removed, or a lot has a new reading of its gauge. */
export const JobEventBody = z.strictObject({ id: z.string(), revision: z.int().min(1).optional() });

/** A recording came or its analysis went on; without an analysis it was removed. */
export const RecordingEventBody = z.strictObject({
  hash: z.string(),
  analysis: RecordingBody.shape.analysis.optional(),
});

/** What was missed is no longer there: ask for everything anew. */
export const SnapshotEventBody = z.strictObject({ because: z.string() });

export type UploadNewBody = z.infer<typeof UploadNewBody>;
export type UploadBody = z.infer<typeof UploadBody>;
export type InPlaceFolderBody = z.infer<typeof InPlaceFolderBody>;
export type InPlaceBody = z.infer<typeof InPlaceBody>;
export type InPlaceOpenBody = z.infer<typeof InPlaceOpenBody>;
export type ProofBody = z.infer<typeof ProofBody>;
export type ProblemBody = z.infer<typeof ProblemBody>;
export type HealthBody = z.infer<typeof HealthBody>;
export type CaptureBody = z.infer<typeof CaptureBody>;
export type RecordingBody = z.infer<typeof RecordingBody>;
export type SignalBody = z.infer<typeof SignalBody>;
export type NoteBody = z.infer<typeof NoteBody>;
export type NoteInputBody = z.infer<typeof NoteInputBody>;
export type StoredTelegramBody = z.infer<typeof StoredTelegramBody>;
export type NoteChangeBody = z.infer<typeof NoteChangeBody>;
export type ExportedFrameBody = z.infer<typeof ExportedFrameBody>;
export type ExportedFramesBody = z.infer<typeof ExportedFramesBody>;
export type StoredBurstBody = z.infer<typeof StoredBurstBody>;
export type ReceiverNewBody = z.infer<typeof ReceiverNewBody>;
export type SelfCheckBody = z.infer<typeof SelfCheckBody>;
export type ReceiverDayBody = z.infer<typeof ReceiverDayBody>;
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
export type EdgesBody = z.infer<typeof EdgesBody>;
export type MeasuresBody = z.infer<typeof MeasuresBody>;
export type TimingRuleBody = z.infer<typeof TimingRuleBody>;
export type TimingBody = z.infer<typeof TimingBody>;
export type SpectrumBody = z.infer<typeof SpectrumBody>;
export type BurstSymbolsBody = z.infer<typeof BurstSymbolsBody>;
