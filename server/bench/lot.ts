import { z } from "zod";

// A lot as people write it down; what follows from it and from what was heard is worked out (workOut.ts).

const text = (most: number) => z.string().max(most);
const kpa = z.number().min(0).max(2000);
const positive = z.number().positive().max(1e12);
const time = text(40).refine((at) => z.iso.datetime({ offset: true }).safeParse(at).success, {
  error: "a time such as 2026-03-07T09:30:00Z",
});
const identity = z.string().min(1).max(40);
/** Specimens that one lot may have on the bench. */
export const MOST_SPECIMENS = 500;
export const SpecimenNumber = z.int().min(1).max(MOST_SPECIMENS);

/** What a specimen has to keep to; `null` or empty: not asked for. */
export const LimitsShape = z.strictObject({
  /** Either side of the gauge, gauge pressure. */
  pressureKpa: z.number().positive().max(500).nullable(),
  /** Either side of the gauge, of its value; of the two the wider one holds. */
  pressurePercent: z.number().positive().max(50).nullable(),
  /** Either side of the thermometer in the pot. */
  temperatureC: z.number().positive().max(50).nullable(),
  /** Nominal carrier. */
  carrierHz: positive.nullable(),
  /** Either side of it, in the unit of `carrierUnit`. */
  carrierOff: positive.nullable(),
  carrierUnit: z.enum(["Hz", "ppm"]),
  /** Nominal deviation, and how far it may be off either side. */
  deviationHz: positive.nullable(),
  deviationOffHz: positive.nullable(),
  symbolRate: positive.nullable(),
  symbolRateOffPercent: z.number().positive().max(50).nullable(),
  /** Either side of the golden specimen's level, or of the lot's median where there is none. */
  levelDb: z.number().positive().max(60).nullable(),
  /** From the wake to the first telegram, at most. */
  wakeSeconds: z.number().positive().max(600).nullable(),
  telegramsPerWakeLeast: z.int().min(1).max(1000).nullable(),
  telegramsPerWakeMost: z.int().min(1).max(1000).nullable(),
  /** Hex digits, a question mark for any: `5e1?????`. */
  identity: z.string().regex(/^[0-9a-f?]{0,16}$/, "hex digits, and ? for any, such as 5e1?????"),
  layout: text(64),
  /** Whether the battery flag has to say good. */
  batteryGood: z.boolean(),
});
export type LotLimits = z.infer<typeof LimitsShape>;

export const GaugeShape = z.strictObject({
  name: text(200),
  /** How its error is stated: bounds with nothing known between, or a certificate's expanded uncertainty. */
  stated: z.enum(["limit of error", "certificate"]),
  errorKpa: z.number().min(0).max(500).nullable(),
  /** Coverage factor of a certificate. */
  coverage: z.number().min(1).max(4),
  /** The finest that it shows. */
  resolutionKpa: z.number().min(0).max(100).nullable(),
  calibratedOn: text(40),
  /** Of the thermometer in the pot: limit of error. */
  temperatureErrorC: z.number().min(0).max(50).nullable(),
  temperatureResolutionC: z.number().min(0).max(20).nullable(),
});
export type Gauge = z.infer<typeof GaugeShape>;

/** @source ILAC-G8:09/2019, 4.2; JCGM 106:2012. */
const RuleShape = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("simple") }),
  /** The guard band's width in expanded uncertainties. */
  z.strictObject({ kind: z.literal("guard"), multiple: z.number().min(0).max(3) }),
  z.strictObject({
    kind: z.literal("risk"),
    falseAccept: z.number().min(0.0001).max(0.4),
    falseReject: z.number().min(0.0001).max(0.4),
  }),
]);

export const FixtureShape = z.strictObject({
  kind: z.enum(["plastic pot", "metal pot, antenna inside", "metal pot, antenna outside", "on rims", "other"]),
  notes: text(2000),
  /** What the pot may hold. */
  ratedKpa: kpa.nullable(),
  wokenOneByOne: z.boolean(),
  /** Of the receiver's reference, either side. */
  carrierErrorPpm: z.number().min(0).max(200).nullable(),
  /** From the specimen to the antenna. */
  distanceM: z.number().positive().max(100).nullable(),
  antennaGainDbi: z.number().min(-60).max(30).nullable(),
  /** What 0 dBFS is at the antenna's socket, from a calibration of this receiver at this gain. */
  fullScaleDbm: z.number().min(-150).max(100).nullable(),
});

export type Fixture = z.infer<typeof FixtureShape>;

export const SetPointShape = z.strictObject({ kpa, way: z.enum(["up", "down"]) });
export type SetPoint = z.infer<typeof SetPointShape>;

export const FillShape = z.strictObject({
  id: z.string().min(1).max(20),
  /** What the gauge shows, read once. */
  gaugeKpa: kpa,
  temperatureC: z.number().min(-60).max(200).nullable(),
  /** Index of a set point; `null`: the nearest one that is still open. */
  setPoint: z.int().min(0).max(99).nullable(),
  at: time,
  /** When the pot was let down or filled on; `null`: when the next fill was read. */
  endedAt: time.nullable(),
});

const SpecimenEntryShape = z.strictObject({
  number: SpecimenNumber,
  identity: identity.nullable(),
  /** Of an identity that several bodies send: which of them, `a` the first heard. */
  body: z.string().regex(/^[a-z]?$/),
  /** As it stands on the part. */
  label: text(80),
  note: text(400),
  /** Why it does not count; empty: it counts. */
  leftOut: text(200),
});

/** Acceptance by attributes: of a sample at most so many outside. */
const PlanShape = z.strictObject({
  accept: z.int().min(0).max(500),
  /** The quality that should pass, and that which should not, as per cent outside, each with its risk. */
  goodPercent: z.number().positive().max(50),
  producerRiskPercent: z.number().positive().max(50),
  badPercent: z.number().positive().max(100),
  consumerRiskPercent: z.number().positive().max(50),
});

export const LotShape = z.strictObject({
  title: text(120),
  supplier: text(120),
  part: text(120),
  /** Of the delivery; `null`: not known, or without end. */
  quantity: z.int().min(1).max(10_000_000).nullable(),
  /** Specimens drawn from it. */
  sample: SpecimenNumber.nullable(),
  drawn: text(400),
  limits: LimitsShape,
  gauge: GaugeShape,
  rule: RuleShape,
  plan: PlanShape,
  fixture: FixtureShape,
  /** In the order in which the pot is filled. */
  setPoints: z.array(SetPointShape).max(40),
  /** Readings of a specimen that a set point needs once the pot has settled. */
  leastReadings: z.int().min(1).max(100),
  ambientKpa: z.number().min(30).max(120).nullable(),
  altitudeM: z.number().min(-500).max(6000).nullable(),
  receiverIds: z.array(z.string().max(80)).max(50),
  recordingHashes: z.array(z.string().max(128)).max(50),
  /** When receivers were listened to; what they said outside of it is not this lot's. */
  listening: z.array(z.strictObject({ from: time, to: time.nullable() })).max(200),
  wakes: z.array(z.strictObject({ number: SpecimenNumber, at: time })).max(2000),
  specimens: z.array(SpecimenEntryShape).max(MOST_SPECIMENS),
  /** Identities that were heard and are not of this lot. */
  aside: z.array(identity).max(500),
  fills: z.array(FillShape).max(200),
  /** A known-good specimen, of this or of another lot. */
  golden: z.strictObject({ lot: z.string().min(1).max(20), number: SpecimenNumber }).nullable(),
  testedBy: text(120),
  remarks: text(2000),
});
export type Lot = z.infer<typeof LotShape>;

/** A lot with nothing on it but what most have. */
export function emptyLot(): Lot {
  return {
    title: "",
    supplier: "",
    part: "",
    quantity: null,
    sample: null,
    drawn: "",
    limits: {
      pressureKpa: null,
      pressurePercent: null,
      temperatureC: null,
      carrierHz: null,
      carrierOff: null,
      carrierUnit: "Hz",
      deviationHz: null,
      deviationOffHz: null,
      symbolRate: null,
      symbolRateOffPercent: null,
      levelDb: null,
      wakeSeconds: null,
      telegramsPerWakeLeast: null,
      telegramsPerWakeMost: null,
      identity: "",
      layout: "",
      batteryGood: false,
    },
    gauge: {
      name: "",
      stated: "limit of error",
      errorKpa: null,
      coverage: 2,
      resolutionKpa: null,
      calibratedOn: "",
      temperatureErrorC: null,
      temperatureResolutionC: null,
    },
    rule: { kind: "guard", multiple: 1 },
    plan: { accept: 0, goodPercent: 1, producerRiskPercent: 5, badPercent: 10, consumerRiskPercent: 10 },
    fixture: {
      kind: "plastic pot",
      notes: "",
      ratedKpa: null,
      wokenOneByOne: true,
      carrierErrorPpm: null,
      distanceM: null,
      antennaGainDbi: null,
      fullScaleDbm: null,
    },
    setPoints: [
      { kpa: 100, way: "up" },
      { kpa: 200, way: "up" },
      { kpa: 300, way: "up" },
      { kpa: 200, way: "down" },
      { kpa: 100, way: "down" },
    ],
    leastReadings: 3,
    ambientKpa: null,
    altitudeM: null,
    receiverIds: [],
    recordingHashes: [],
    listening: [],
    wakes: [],
    specimens: [],
    aside: [],
    fills: [],
    golden: null,
    testedBy: "",
    remarks: "",
  };
}
