import { z } from "zod";
import { FillShape, LotShape, SpecimenNumber } from "../../bench/lot.ts";

// The bench over the wire: a lot as people wrote it, and what follows from it and from what was heard.

const verdict = z.enum(["within", "outside", "cannot tell"]);
const number = z.int().min(1);
const time = z.string();

/** Entries that a page or a program may write; what is heard, filled and woken comes by ways of its own too. */
export const LotNewBody = LotShape.partial();
export const LotChangeBody = LotShape.extend({
  fills: z.array(FillShape.extend({ endedAt: z.union([FillShape.shape.endedAt, z.literal("now")]) })).max(200),
}).partial();
export type LotChangeBody = z.infer<typeof LotChangeBody>;

/** One figure held against its limits. */
export const FigureBody = z.strictObject({
  key: z.enum([
    "answer",
    "identity",
    "layout",
    "battery",
    "pressure",
    "temperature",
    "carrier",
    "deviation",
    "symbol rate",
    "level",
    "wake",
    "telegrams per wake",
  ]),
  /** In words, such as "Pressure at 200 kPa, down". */
  of: z.string(),
  /** Index of the set point that it belongs to. */
  setPoint: z.int().nullable(),
  /** `null`: there is none yet, or it is no number. */
  value: z.number().nullable(),
  unit: z.enum(["kPa", "°C", "Hz", "symbols/s", "dB", "s", ""]),
  lower: z.number().nullable(),
  upper: z.number().nullable(),
  /** Of the value, at the stated confidence. */
  expanded: z.number().nullable(),
  /** By the rule a value is within from here to `acceptTo`; `null` on a side without a limit, or where nothing can be. */
  acceptFrom: z.number().nullable(),
  acceptTo: z.number().nullable(),
  /** By the rule a value is outside below or above this. */
  rejectBelow: z.number().nullable(),
  rejectAbove: z.number().nullable(),
  verdict,
  /** One sentence. */
  because: z.string(),
});
export type FigureBody = z.infer<typeof FigureBody>;

/** A specimen at a set point. */
const CellBody = z.strictObject({
  setPoint: z.int(),
  readings: z.int().min(0),
  meanKpa: z.number().nullable(),
  /** Mean reading less the gauge. */
  errorKpa: z.number().nullable(),
  expandedKpa: z.number().nullable(),
  verdict: verdict.nullable(),
});

/** What is odd about a specimen, told at once. */
const FlagBody = z.strictObject({
  kind: z.enum(["duplicate", "format", "carrier", "layout", "earlier lot", "battery", "carrier walks", "level"]),
  says: z.string(),
});

export const SpecimenBody = z.strictObject({
  number,
  identity: z.string().nullable(),
  /** Of an identity that several bodies send: a letter. */
  body: z.string(),
  label: z.string(),
  note: z.string(),
  leftOut: z.string(),
  state: z.enum(["heard", "sending, not readable", "no answer", "not heard yet"]),
  /** One sentence on its state. */
  says: z.string(),
  registeredBy: z.enum(["hand", "wake", "order"]).nullable(),
  telegrams: z.int().min(0),
  lastAt: time.nullable(),
  wakes: z.int().min(0),
  flags: z.array(FlagBody),
  cells: z.array(CellBody),
  /** Set points without enough readings, by index. */
  missing: z.array(z.int()),
  /** Over the set points; `null` where there are too few. */
  linearityKpa: z.number().nullable(),
  hysteresisKpa: z.number().nullable(),
  repeatabilityKpa: z.number().nullable(),
  meanErrorKpa: z.number().nullable(),
  carrierOffsetHz: z.number().nullable(),
  carrierWalkHz: z.number().nullable(),
  deviationHz: z.number().nullable(),
  symbolRate: z.number().nullable(),
  levelDb: z.number().nullable(),
  wakeSeconds: z.number().nullable(),
  telegramsPerWake: z.number().nullable(),
  figures: z.array(FigureBody),
  verdict,
  because: z.string(),
});
export type SpecimenBody = z.infer<typeof SpecimenBody>;

/** A fill of the pot, from entry or from the gauge's log. */
export const FillBody = z.strictObject({
  id: z.string(),
  from: z.enum(["entry", "log"]),
  setPoint: z.int().nullable(),
  gaugeKpa: z.number(),
  /** How far the gauge itself moved while the pot was settled; `null` without a log. */
  gaugeMovedKpa: z.number().nullable(),
  temperatureC: z.number().nullable(),
  at: time,
  endedAt: time.nullable(),
  /** From the telegrams themselves; `null`: not yet. */
  settledFrom: time.nullable(),
  settledTo: time.nullable(),
  /** Telegrams while it was settled, and those left out since it was not. */
  used: z.int().min(0),
  leftOut: z.int().min(0),
  says: z.string(),
});
export type FillBody = z.infer<typeof FillBody>;

const OddBody = z.strictObject({ number, by: z.string(), says: z.string() });

const LotViewBody = z.strictObject({
  /** Specimens whose mean error the rest is about. */
  count: z.int().min(0),
  medianKpa: z.number().nullable(),
  /** Median absolute deviation, times 1.4826. */
  spreadKpa: z.number().nullable(),
  odd: z.array(OddBody),
  tolerance: z
    .strictObject({
      fromKpa: z.number(),
      toKpa: z.number(),
      share: z.number(),
      confidence: z.number(),
      factor: z.number(),
      says: z.string(),
    })
    .nullable(),
  says: z.array(z.string()),
});

const AcceptanceBody = z.strictObject({
  sample: z.int().min(0),
  accept: z.int().min(0),
  lotSize: z.int().nullable(),
  outside: z.int().min(0),
  cannotTell: z.int().min(0),
  within: z.int().min(0),
  verdict: z.enum(["accept", "reject", "cannot tell", "not finished"]),
  because: z.string(),
  /** Chance that a lot of the good quality is rejected, and one of the bad accepted, by this plan. */
  producerRisk: z.number().nullable(),
  consumerRisk: z.number().nullable(),
  curve: z.array(z.strictObject({ percent: z.number(), probability: z.number() })),
  /** Share outside in what the sample was drawn from, in per cent: 95 % interval, those that cannot be told either way. */
  share: z.strictObject({ fromPercent: z.number(), toPercent: z.number() }).nullable(),
  /** The smallest plan of up to 2,000 specimens that keeps both risks; `null`: none does. */
  needed: z.strictObject({ sample: z.int(), accept: z.int() }).nullable(),
});

const RatioBody = z.strictObject({
  /** Limit over the gauge's expanded uncertainty. */
  ratio: z.number(),
  enough: z.boolean(),
  gaugeExpandedKpa: z.number(),
  neededExpandedKpa: z.number(),
  /** The largest error that can be called within under the chosen rule, by the gauge alone. */
  widestWithinKpa: z.number(),
  says: z.string(),
});

const StageBody = z.strictObject({
  name: z.enum(["set up", "register", "set points", "decide"]),
  state: z.enum(["done", "now", "later"]),
  says: z.string(),
});

export const LotBody = LotShape.extend({
  id: z.string(),
  revision: z.int().min(1),
  createdAt: time,
  changedAt: time,
  sampleOfHouse: z.boolean(),
  /** The clock that its receivers tell; a replay has that of its file. */
  clock: time,
  /** Logs of a gauge that were brought in, and serial gauges. */
  gaugeLogs: z.array(z.strictObject({ name: z.string(), readings: z.int(), from: time, to: time })),
  gaugeLine: z
    .strictObject({
      path: z.string(),
      state: z.enum(["connecting", "listening", "away"]),
      says: z.string(),
      lastKpa: z.number().nullable(),
      lastAt: time.nullable(),
    })
    .nullable(),
  stages: z.array(StageBody),
  /** What should be put right before the test, or is not tested here. */
  warnings: z.array(z.strictObject({ strength: z.enum(["stop", "look here", "note"]), says: z.string() })),
  ratio: RatioBody.nullable(),
  workedFills: z.array(FillBody),
  rows: z.array(SpecimenBody),
  /** Sensors that were heard and are on no row: put aside, or more than were drawn. */
  others: z.array(
    z.strictObject({ identity: z.string(), telegrams: z.int(), because: z.string(), aside: z.boolean() }),
  ),
  /** Bursts that no layout reads. */
  unreadableBursts: z.int().min(0),
  lotView: LotViewBody,
  acceptance: AcceptanceBody,
  counts: z.strictObject({
    within: z.int(),
    outside: z.int(),
    cannotTell: z.int(),
    leftOut: z.int(),
  }),
  /** The rule in words. */
  ruleSays: z.string(),
  notTested: z.array(z.string()),
});
export type LotBody = z.infer<typeof LotBody>;

/** For the list. */
export const LotHeadBody = LotBody.pick({
  id: true,
  revision: true,
  createdAt: true,
  changedAt: true,
  sampleOfHouse: true,
  title: true,
  supplier: true,
  part: true,
  sample: true,
});
export type LotHeadBody = z.infer<typeof LotHeadBody>;

export const RemovedLotBody = LotHeadBody.extend({ removedAt: time, goesAt: time });
export type RemovedLotBody = z.infer<typeof RemovedLotBody>;

export const WakeNewBody = z.strictObject({ number: SpecimenNumber });
export const FillNewBody = FillShape.pick({ gaugeKpa: true, temperatureC: true, setPoint: true }).partial({
  temperatureC: true,
  setPoint: true,
});
export const ListenBody = z.strictObject({ on: z.boolean() });
export const GaugeLogNewBody = z.strictObject({
  name: z.string().min(1).max(120),
  /** As the workshop takes it: lines of time, pressure and temperature, with or without names above them. */
  text: z.string(),
});
export const GaugeLineNewBody = z.strictObject({
  path: z.string().min(1).max(4000),
  baudRate: z.int().min(50).max(4_000_000),
  /** Of a figure that names none. */
  unit: z.enum(["kPa", "bar", "psi"]),
});

const PartBody = z.strictObject({
  of: z.string(),
  says: z.string(),
  evaluation: z.enum(["A", "B"]),
  distribution: z.enum(["normal", "rectangular", "student"]),
  standard: z.number(),
  /** Degrees of freedom; `null`: without end. */
  freedom: z.number().nullable(),
});

const BudgetBody = z.strictObject({
  setPoint: z.int(),
  of: z.string(),
  unit: z.string(),
  parts: z.array(PartBody),
  standard: z.number(),
  freedom: z.number().nullable(),
  coverage: z.number(),
  expanded: z.number(),
  confidence: z.number(),
});

const LineBody = z.strictObject({
  /** error = intercept + slope (gauge - pivot) */
  interceptKpa: z.number(),
  slope: z.number(),
  pivotKpa: z.number(),
  uInterceptKpa: z.number(),
  uSlope: z.number(),
  residualKpa: z.number(),
  freedom: z.number(),
  points: z.array(
    z.strictObject({
      gaugeKpa: z.number(),
      errorKpa: z.number(),
      residualKpa: z.number(),
      way: z.enum(["up", "down"]),
    }),
  ),
  /** The line and its 95 % interval at some places, the gauge's own error in it. */
  band: z.array(z.strictObject({ gaugeKpa: z.number(), kpa: z.number(), fromKpa: z.number(), toKpa: z.number() })),
  curved: z.strictObject({ p: z.number(), says: z.string() }).nullable(),
});

const TelegramAtBody = z.strictObject({
  at: time,
  kpa: z.number().nullable(),
  temperatureC: z.number().nullable(),
  carrierHz: z.number(),
  /** Whether it counts for a set point. */
  fill: z.string().nullable(),
  /** Where its burst can be looked at: a recording's hash and the burst's index. */
  recording: z.strictObject({ hash: z.string(), index: z.int() }).nullable(),
});

/** A figure beside that of the golden specimen. */
const BesideBody = z.strictObject({
  of: z.string(),
  unit: z.string(),
  here: z.number().nullable(),
  golden: z.number().nullable(),
  differs: z.boolean(),
  says: z.string(),
});

/** All that is known of one specimen. */
export const SpecimenMoreBody = z.strictObject({
  specimen: SpecimenBody,
  budgets: z.array(BudgetBody),
  line: LineBody.nullable(),
  temperature: z.strictObject({
    kpaPerC: z.number().nullable(),
    expanded: z.number().nullable(),
    says: z.string(),
  }),
  walk: z.strictObject({
    /** Carrier against time: line's change over the test, with its 95 % interval. */
    hz: z.number().nullable(),
    expandedHz: z.number().nullable(),
    says: z.string(),
  }),
  /** Over one telegram, the mean of some whose samples are kept. */
  drift: z.strictObject({
    hz: z.number().nullable(),
    sigmaHz: z.number().nullable(),
    count: z.int(),
    says: z.string(),
  }),
  fieldStrength: z.strictObject({
    dbUvPerM: z.number().nullable(),
    says: z.string(),
  }),
  telegrams: z.array(TelegramAtBody),
  /** Of a silent one: why, as on a job card. */
  silence: z
    .strictObject({
      couldWeHaveHeardIt: z.string(),
      wasItWoken: z.string(),
      causes: z.array(z.strictObject({ words: z.string(), probability: z.number() })),
      steps: z.array(z.strictObject({ words: z.string(), minutes: z.number(), caution: z.string().nullable() })),
    })
    .nullable(),
  golden: z
    .strictObject({
      lot: z.string(),
      number,
      identity: z.string().nullable(),
      beside: z.array(BesideBody),
      /** A burst of each whose samples are kept. */
      bursts: z
        .strictObject({
          here: z.strictObject({ hash: z.string(), index: z.int() }),
          golden: z.strictObject({ hash: z.string(), index: z.int() }),
        })
        .nullable(),
    })
    .nullable(),
});
export type SpecimenMoreBody = z.infer<typeof SpecimenMoreBody>;

/** Two lots held against each other. */
export const LotsComparedBody = z.strictObject({
  here: LotHeadBody,
  other: LotHeadBody,
  comparisons: z.array(
    z.strictObject({
      of: z.string(),
      unit: z.string(),
      here: z.strictObject({ count: z.int(), middle: z.number().nullable(), spread: z.number().nullable() }),
      other: z.strictObject({ count: z.int(), middle: z.number().nullable(), spread: z.number().nullable() }),
      test: z.string().nullable(),
      difference: z.number().nullable(),
      from: z.number().nullable(),
      to: z.number().nullable(),
      p: z.number().nullable(),
      says: z.string(),
      assumptions: z.array(z.string()),
    }),
  ),
  cautions: z.array(z.string()),
});
export type LotsComparedBody = z.infer<typeof LotsComparedBody>;
