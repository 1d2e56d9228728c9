import type { RandomGenerator } from "pure-rand/types/RandomGenerator";
import { fieldValues } from "../../decoders/frames/fields.ts";
import type { Field, Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import { frameBits, rawRange } from "../../seeds/encode/frame-bits.ts";
import { pressureInUnit, rawFromPhysical, temperatureInUnit } from "../../seeds/encode/raw-from-physical.ts";
import { hexOfBits } from "../../seeds/hex-of-bits.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { emptyLot, type Lot } from "../../server/bench/lot.ts";
import type { LotHeard } from "../../server/bench/workOut.ts";
import limits from "../../server/jobs/limits.json" with { type: "json" };
import type { HeardOn, StoredTelegram } from "../../server/store/store.ts";
import { normal } from "./chances.ts";
import { DAY } from "./store-data.ts";

/** What a drawn specimen is like. Those at the limit keep or break it at the highest set point alone, by a millionth. */
export type Kind = "plain" | "far outside" | "just outside" | "just inside" | "dumb" | "twin" | "walking";

/** What a lot is drawn from; all spreads are standard deviations. */
export interface LotWishes {
  readonly layout: Layout;
  readonly specimens: number;
  /** How many are of each kind; the others are plain. Twins are two or none. */
  readonly kinds: Partial<Record<Exclude<Kind, "plain">, number>>;
  /** Spreads of a plain specimen's error: at the middle, per kPa from there, and that of the way down more than up. */
  readonly errors: { readonly offsetKpa: number; readonly gain: number; readonly hysteresisKpa: number };
  readonly limitKpa: number;
  /** Of a reading, before it is rounded to the layout's step. */
  readonly scatterKpa: number;
  readonly gauge: {
    readonly stated: Lot["gauge"]["stated"];
    /** Expanded uncertainty with k = 2, or the limit of error. */
    readonly errorKpa: number;
    readonly resolutionKpa: number;
    readonly drawn: "once a lot" | "at each set point";
  };
  readonly pot: {
    /** From one set point to the next. */
    readonly rampSeconds: number;
    /** How far it overshoots by warm or cold air, and the time constant with which that goes. */
    readonly coolingKpa: number;
    readonly coolingSeconds: number;
    /** How long the gauge is watched once the rest is small. */
    readonly stillSeconds: number;
  };
  /** Of each specimen while the pot stands still. */
  readonly readings: number;
  readonly carrier: { readonly scatterHz: number; readonly receiverPpm: number };
  readonly on: "receiver" | "recording";
}

export interface TrueSpecimen {
  readonly number: number;
  readonly kind: Kind;
  readonly identity: string;
  /** At the beginning. */
  readonly carrierHz: number;
  /** By set point. */
  readonly errorsKpa: readonly number[];
  /** On the way up: error at the middle set point, and its change per kPa. */
  readonly offsetKpa: number;
  readonly gain: number;
}

export interface TrueFill {
  readonly potKpa: number;
  /** What the gauge showed less the pot's pressure, its rounding left out. */
  readonly gaugeErrorKpa: number;
  readonly stillFromMs: number;
  readonly stillToMs: number;
}

export interface DrawnLot {
  readonly lot: Lot;
  readonly heard: LotHeard;
  readonly specimens: readonly TrueSpecimen[];
  readonly fills: readonly TrueFill[];
}

export const MIDDLE_KPA = 200;
/** The pot stands still when no more than this is left to come. */
const STILL_KPA = 0.1;
const CARRIER_HZ = 433.92e6;
const WALK_HZ = 8000;
const WAKE_EVERY_MS = 4000;
const BEGIN_MS = Date.parse(DAY);
const HASH = "d".repeat(64);

/** A lot with everything that was heard of it, by chance and without any signal, and the truth about it. */
export function drawnLot(wishes: LotWishes, seed: number): DrawnLot {
  const random = chance(seed);
  const between = (least: number, most: number) => least + (most - least) * uniform(random);
  const lot = entries(wishes);
  const kinds = kindsOf(wishes, random);
  const wakesUntilMs = BEGIN_MS + (kinds.length + 2) * WAKE_EVERY_MS;
  const pot = potOf(wishes, lot.setPoints, wakesUntilMs, random);
  const specimens = specimensOf(wishes, kinds, pot.fills, random);
  // The barometer was read; the air itself is off by what it is good to.
  const airKpa = lot.ambientKpa! + (limits.errors.barometerKpa / limits.errors.coverageFactor) * normal(random);
  const receiver = 1 + 1e-6 * between(-1, 1) * wishes.carrier.receiverPpm;
  const wakes: { number: number; atMs: number; by: "receiver" }[] = [];
  const sent: Sent[] = [];
  for (const specimen of specimens) {
    const { number, kind } = specimen;
    const send = (atMs: number) => {
      const kpa = pot.at(atMs);
      const walked = kind === "walking" ? (WALK_HZ * (atMs - BEGIN_MS)) / (pot.endMs - BEGIN_MS) : 0;
      sent.push({
        atMs,
        identity: specimen.identity,
        kpa: kpa + errorAt(specimen, kpa, pot.goesDown(atMs)) + wishes.scatterKpa * normal(random),
        carrierHz: receiver * (specimen.carrierHz + walked) + wishes.carrier.scatterHz * normal(random),
        levelDbfs: -30 + normal(random),
      });
    };
    const wokenMs = BEGIN_MS + (number - 1) * WAKE_EVERY_MS;
    wakes.push({ number, atMs: wokenMs, by: "receiver" });
    if (kind === "dumb") {
      wakes.push({ number, atMs: wakesUntilMs - WAKE_EVERY_MS, by: "receiver" });
      continue;
    }
    const answerMs = wokenMs + between(200, 400);
    send(answerMs);
    send(answerMs + 300);
    for (const fill of pot.fills) {
      send(between(fill.beginMs, fill.stillFromMs));
      const slotMs = (fill.stillToMs - fill.stillFromMs) / wishes.readings;
      for (let i = 0; i < wishes.readings; i++) send(fill.stillFromMs + (i + between(0, 1)) * slotMs);
    }
  }
  const gauge = gaugeOf(wishes, pot.fills.length, random);
  const fills = pot.fills.map((fill, i) => ({ ...fill, gaugeErrorKpa: gauge[i]! }));
  const readMs = fills.map(({ stillFromMs, stillToMs }) => stillFromMs + between(0, 0.5) * (stillToMs - stillFromMs));
  return {
    lot: {
      ...lot,
      fills: fills.map(({ gaugeErrorKpa }, i) => ({
        id: `fill-${i + 1}`,
        gaugeKpa: roundedTo(wishes.gauge.resolutionKpa, pot.at(readMs[i]!) + gaugeErrorKpa),
        temperatureC: null,
        setPoint: null,
        at: timeOf(readMs[i]!),
        endedAt: i === fills.length - 1 ? timeOf(fills[i]!.stillToMs) : null,
      })),
    },
    heard: {
      ...heardFrom(wishes, sent, airKpa),
      layouts: [wishes.layout],
      wakes: wakes.sort((a, b) => a.atMs - b.atMs),
      gauge: [],
      earlier: () => undefined,
      goldenLevel: null,
      nowMs: pot.endMs,
    },
    specimens,
    fills,
  };
}

function entries({ specimens, limitKpa, gauge, readings, carrier, on }: LotWishes): Lot {
  const lot = emptyLot();
  return {
    ...lot,
    title: "Drawn",
    sample: specimens,
    limits: { ...lot.limits, pressureKpa: limitKpa, carrierHz: CARRIER_HZ },
    gauge: {
      ...lot.gauge,
      name: "drawn",
      stated: gauge.stated,
      errorKpa: gauge.errorKpa,
      resolutionKpa: gauge.resolutionKpa,
    },
    fixture: { ...lot.fixture, carrierErrorPpm: carrier.receiverPpm },
    leastReadings: Math.min(lot.leastReadings, readings),
    ambientKpa: 100.4,
    receiverIds: on === "receiver" ? ["r1"] : [],
    recordingHashes: on === "recording" ? [HASH] : [],
  };
}

/** In a chance order. */
function kindsOf({ specimens, kinds }: LotWishes, random: RandomGenerator): Kind[] {
  const all: Kind[] = [];
  for (const kind of ["far outside", "just outside", "just inside", "dumb", "twin", "walking"] as const) {
    for (let i = 0; i < (kinds[kind] ?? 0); i++) all.push(kind);
  }
  if (all.length > specimens) throw new RangeError(`${all.length} kinds for ${specimens} specimens`);
  while (all.length < specimens) all.push("plain");
  for (let i = all.length - 1; i > 0; i--) {
    const j = Math.floor(uniform(random) * (i + 1));
    [all[i], all[j]] = [all[j]!, all[i]!];
  }
  return all;
}

interface PotFill extends Omit<TrueFill, "gaugeErrorKpa"> {
  readonly beginMs: number;
  readonly goesDown: boolean;
}

/** How the pressure went: a ramp to every set point, not quite to its value, then air that warms or cools. */
function potOf({ pot }: LotWishes, setPoints: Lot["setPoints"], fromMs: number, random: RandomGenerator) {
  const { rampSeconds, coolingKpa, coolingSeconds, stillSeconds } = pot;
  const fills: PotFill[] = [];
  let beginMs = fromMs;
  for (const { kpa, way } of setPoints) {
    const goesDown = way === "down";
    const rest = coolingKpa === 0 ? 0 : coolingSeconds * Math.max(0, Math.log(coolingKpa / STILL_KPA));
    const stillFromMs = beginMs + 1000 * (rampSeconds + rest);
    const stillToMs = stillFromMs + 1000 * stillSeconds;
    fills.push({ potKpa: kpa + 4 * uniform(random) - 2, beginMs, goesDown, stillFromMs, stillToMs });
    beginMs = stillToMs;
  }
  const at = (atMs: number) => {
    const i = fills.findLastIndex((fill) => atMs >= fill.beginMs);
    const fill = fills[i];
    if (!fill) return 0;
    const overshoot = fill.goesDown ? -coolingKpa : coolingKpa;
    const seconds = (atMs - fill.beginMs) / 1000 - rampSeconds;
    if (seconds >= 0) return fill.potKpa + overshoot * Math.exp(-seconds / coolingSeconds);
    const before = fills[i - 1]?.potKpa ?? 0;
    return before + (fill.potKpa + overshoot - before) * (1 + seconds / rampSeconds);
  };
  const goesDown = (atMs: number) => fills.findLast((fill) => atMs >= fill.beginMs)?.goesDown ?? false;
  return { fills, endMs: beginMs, at, goesDown };
}

function specimensOf(
  { layout, errors, limitKpa }: LotWishes,
  kinds: readonly Kind[],
  fills: readonly PotFill[],
  random: RandomGenerator,
): TrueSpecimen[] {
  const pots = fills.map(({ potKpa }) => potKpa);
  const [lowest, highest] = [Math.min(...pots), Math.max(...pots)];
  const twin = { identity: identityOf(layout, 0, random), carrierHz: CARRIER_HZ + 5000 * normal(random), count: 0 };
  return kinds.map((kind, i): TrueSpecimen => {
    const sign = uniform(random) < 0.5 ? -1 : 1;
    let offsetKpa = errors.offsetKpa * normal(random);
    let gain = errors.gain * normal(random);
    let hysteresisKpa = errors.hysteresisKpa * normal(random);
    if (kind === "far outside") offsetKpa = sign * limitKpa * (1.5 + uniform(random));
    if (kind === "just outside" || kind === "just inside") {
      const atTop = limitKpa * (kind === "just outside" ? 1 + 1e-6 : 1 - 1e-6);
      gain = (sign * atTop) / (highest - lowest);
      offsetKpa = gain * (MIDDLE_KPA - lowest);
      hysteresisKpa = 0;
    }
    const isTwin = kind === "twin";
    const specimen = {
      number: i + 1,
      kind,
      identity: isTwin ? twin.identity : identityOf(layout, i + 1, random),
      carrierHz: isTwin ? twin.carrierHz + 30e3 * twin.count++ : CARRIER_HZ + 5000 * normal(random),
      offsetKpa,
      gain,
      hysteresisKpa,
    };
    return { ...specimen, errorsKpa: fills.map((fill) => errorAt(specimen, fill.potKpa, fill.goesDown)) };
  });
}

function errorAt(
  specimen: Pick<TrueSpecimen, "offsetKpa" | "gain"> & { readonly hysteresisKpa?: number },
  potKpa: number,
  goesDown: boolean,
): number {
  const { offsetKpa, gain, hysteresisKpa = 0 } = specimen;
  return offsetKpa + gain * (potKpa - MIDDLE_KPA) + (goesDown ? hysteresisKpa : 0);
}

function gaugeOf({ gauge }: LotWishes, count: number, random: RandomGenerator): number[] {
  const draw = () =>
    gauge.stated === "certificate" ? (gauge.errorKpa / 2) * normal(random) : gauge.errorKpa * (2 * uniform(random) - 1);
  const once = draw();
  return Array.from({ length: count }, () => (gauge.drawn === "once a lot" ? once : draw()));
}

interface Sent {
  readonly atMs: number;
  readonly identity: string;
  /** As the sensor finds it, before its step. */
  readonly kpa: number;
  readonly carrierHz: number;
  readonly levelDbfs: number;
}

function heardFrom(
  { layout, on: from }: LotWishes,
  sent: readonly Sent[],
  airKpa: number,
): Pick<LotHeard, "telegrams" | "bursts"> {
  const on: HeardOn = from === "receiver" ? { receiverId: "r1" } : { recordingHash: HASH };
  const all = sent.toSorted((a, b) => a.atMs - b.atMs).map((one, index) => heardOne(layout, one, index, airKpa, on));
  return { telegrams: all.map(({ stored }) => stored), bursts: all.map(({ burst, at }) => ({ at, on, burst })) };
}

function heardOne(
  layout: Layout,
  { atMs, identity, kpa, carrierHz, levelDbfs }: Sent,
  index: number,
  airKpa: number,
  on: HeardOn,
) {
  const at = timeOf(atMs);
  const file = "drawn";
  const atSeconds = (atMs - BEGIN_MS) / 1000;
  const isRecorded = "recordingHash" in on;
  const bits = frameBits(layout, rawOf(layout, identity, kpa, airKpa));
  const telegram: TelegramRecord = {
    kind: "telegram",
    file,
    burst: index,
    repeats: [index],
    layout: layout.id,
    atSeconds,
    carrierHz,
    bits: hexOfBits(bits),
    bitCount: bits.length,
    verified: true,
    repairedBits: 0,
    falseAcceptProbability: 1e-12,
    uncheckedBits: 0,
    snrDb: levelDbfs + 70,
    fields: fieldValues(layout, bits),
  };
  const burst: BurstRecord = {
    kind: "burst",
    index,
    file,
    atSeconds,
    durationSeconds: bits.length / layout.symbolRate,
    carrierHz,
    modulation: layout.modulation,
    // A receiver's line tells neither.
    deviationHz: isRecorded ? (layout.deviationHz ?? null) : null,
    levelDbfs: isRecorded ? levelDbfs : null,
    symbolRate: layout.symbolRate,
    symbolRateUncertainty: null,
    snrDb: levelDbfs + 70,
    clipped: false,
    outcome: "telegram",
    layout: layout.id,
    symbols: null,
    symbolCount: 0,
    rungs: [],
  };
  const stored: StoredTelegram = { id: `t-${index}`, revision: 1, at, on, identity, telegram };
  return { stored, burst, at };
}

function rawOf(layout: Layout, identity: string, kpa: number, airKpa: number): Record<string, bigint> {
  const settable = layout.fields.filter(({ type }) => type !== "constant");
  return Object.fromEntries(
    settable.map((field) => {
      if (field.type === "identity") return [field.name, BigInt(`0x${identity}`) % 2n ** BigInt(field.bits)];
      if (field.quantity === "pressure") return [field.name, held(field, pressureInUnit(field, kpa, airKpa))];
      if (field.quantity === "temperature") return [field.name, held(field, temperatureInUnit(field, 21))];
      return [field.name, 0n];
    }),
  );
}

function held(field: Field, value: number): bigint {
  const { least, greatest } = rawRange(field);
  const raw = BigInt(rawFromPhysical(field, value));
  return raw < least ? least : raw > greatest ? greatest : raw;
}

/** Another one for every number, as many digits as the layout has. */
function identityOf({ fields }: Layout, number: number, random: RandomGenerator): string {
  const bits = fields.find(({ type }) => type === "identity")?.bits ?? 0;
  return (4096 * number + Math.floor(4096 * uniform(random))).toString(16).padStart(Math.ceil(bits / 4), "0");
}

function roundedTo(step: number, kpa: number): number {
  return step === 0 ? kpa : Number((step * Math.round(kpa / step)).toPrecision(12));
}

function timeOf(ms: number): string {
  return new Date(Math.round(ms)).toISOString();
}
