import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord, Modulation, TelegramRecord } from "../../decoders/records.ts";
import type { StoredTelegram } from "../store/store.ts";
import { lampKpaOf } from "./cardRules.ts";
import { answeredUnreadable, heardFinding, type Strength, silentFinding, unreadableFinding } from "./finding.ts";
import { identityOf, type JobCard, placardOf, type Wheel } from "./jobCard.ts";
import { outright, type Sender } from "./outright.ts";
import { ambientAir } from "./pressure/ambientAir.ts";
import { type Circumstances, judgePressure } from "./pressure/judge.ts";
import { type Reading, readingOf } from "./reading.ts";

/** A cold pressure, gauge, with its expanded uncertainty. */
export interface ColdFigure {
  readonly gaugeKpa: number;
  readonly plusMinusKpa: number;
  readonly of: "hand gauge" | "sensor";
}

/** What one wheel's line says. */
export interface WheelLine {
  readonly position: string;
  readonly identity: string | null;
  readonly state: "heard" | "sending, not readable" | "not heard";
  readonly telegramId: string | null;
  readonly carrierHz: number | null;
  readonly temperatureC: number | null;
  readonly battery: "good" | "low" | null;
  readonly gaugeKpa: number | null;
  readonly placardKpa: number | null;
  /** At or below it the US rule wants the lamp lit; `null` where that says nothing. */
  readonly lampKpa: number | null;
  /** Loudest telegram of the visit over the noise. */
  readonly snrDb: number | null;
  /** What the tyre holds cold, where that is measured or follows; `null` where it does not. */
  readonly cold: ColdFigure | null;
  readonly strength: Strength;
  readonly finding: string;
}

/** A sensor that was heard and that no wheel has. */
export interface OtherSensor {
  readonly identity: string;
  readonly telegramId: string;
  readonly layout: string;
  readonly carrierHz: number;
  readonly gaugeKpa: number | null;
  /** Loudest telegram of the visit over the noise. */
  readonly snrDb: number | null;
}

export interface WheelLines {
  /** One for each wheel of the card, in its order. */
  readonly lines: readonly WheelLine[];
  /** In the order of their newest telegrams, newest first. */
  readonly others: readonly OtherSensor[];
}

/**
 * The wheel lines of a job card: for each wheel the newest verified telegram of its sensor, or what is known of its
 * silence; and the sensors that no wheel has.
 *
 * A telegram that is not verified is never a reading. One of a layout without an identity belongs to no wheel.
 *
 * @param telegrams Of the visit, in any order, in their newest revision.
 * @param unreadableBursts Those of the visit that no layout reads, as `unreadable` gives them.
 * @param layouts Those that the telegrams were read by.
 * @param atWakes Of the unreadable bursts, by position those that came at its wake.
 */
export function wheelLines(
  job: JobCard,
  telegrams: readonly StoredTelegram[],
  unreadableBursts: readonly BurstRecord[],
  layouts: readonly Layout[],
  atWakes: ReadonlyMap<string, readonly BurstRecord[]> = new Map(),
): WheelLines {
  const layoutOf = new Map(layouts.map((layout) => [layout.id, layout]));
  const verified = telegrams.filter(({ telegram }) => telegram.verified);
  const newest = newestByIdentity(verified);
  const loudest = loudestByIdentity(verified);
  const unverified = newestByIdentity(telegrams.filter(({ telegram }) => !telegram.verified));
  const worn = new Set(job.wheels.map(identityOf));
  const others = [...newest.values()].filter(({ identity }) => identity !== null && !worn.has(identity.toLowerCase()));
  const silent = job.wheels.filter((wheel) => !newest.has(identityOf(wheel) ?? ""));

  const senderOf = (telegram: TelegramRecord, wheel: Wheel): Sender => ({
    telegram,
    layout: layoutOf.get(telegram.layout),
    snrDb: loudest.get(identityOf(wheel) ?? "") ?? null,
  });
  const heardLine = (wheel: Wheel, { id, telegram }: StoredTelegram): WheelLine => {
    const reading = readingOf(telegram, layoutOf.get(telegram.layout), airOf(job));
    const placardKpa = placardOf(job, wheel.position);
    const circumstances = circumstancesOf(job, wheel);
    const twins = job.wheels.filter((other) => other !== wheel && identityOf(other) === identityOf(wheel));
    return {
      position: wheel.position,
      identity: wheel.identity,
      state: "heard",
      telegramId: id,
      carrierHz: telegram.carrierHz,
      temperatureC: reading.temperatureC,
      battery: reading.battery,
      gaugeKpa: reading.gaugeKpa,
      placardKpa,
      lampKpa: lampKpaOf(job, placardKpa),
      snrDb: loudest.get(identityOf(wheel) ?? "") ?? null,
      cold: coldOf(reading, circumstances, placardKpa),
      ...heardFinding(
        reading,
        placardKpa,
        telegram,
        twins.map(({ position }) => position),
        circumstances,
        outright(
          senderOf(telegram, wheel),
          job.wheels.flatMap((other) => {
            const theirs = other === wheel ? undefined : newest.get(identityOf(other) ?? "");
            return theirs ? [senderOf(theirs.telegram, other)] : [];
          }),
          job,
        ),
      ),
    };
  };

  const silentLine = (wheel: Wheel): WheelLine => {
    const placardKpa = placardOf(job, wheel.position);
    const nothing = {
      position: wheel.position,
      identity: wheel.identity,
      telegramId: null,
      carrierHz: null,
      temperatureC: null,
      battery: null,
      gaugeKpa: null,
      placardKpa,
      lampKpa: lampKpaOf(job, placardKpa),
      snrDb: null,
      cold: null,
    };
    const siblings = [...newest.values()].filter((sibling) => !others.includes(sibling));
    const close = unverified.get(identityOf(wheel) ?? "");
    const burst = unreadableBursts.at(-1);
    const answers = atWakes.get(wheel.position) ?? [];
    const last = answers.at(-1);
    if (last && close === undefined) {
      const rest = job.wheels.flatMap(({ position }) =>
        position === wheel.position ? [] : (atWakes.get(position)?.at(-1) ?? []),
      );
      const alike = likeOneOf(last, siblings, layoutOf) || rest.some((other) => keyedAlike(last, other));
      const finding = answeredUnreadable(described(last), answers.length, alike);
      return { ...nothing, state: "sending, not readable", carrierHz: last.carrierHz, ...finding };
    }
    // With several silent wheels, or strangers to choose from, nobody can say whose bursts these are.
    if (burst && silent.length === 1 && close === undefined && (wheel.identity !== null || others.length === 0)) {
      const finding = unreadableFinding(described(burst), likeOneOf(burst, siblings, layoutOf));
      return { ...nothing, state: "sending, not readable", carrierHz: burst.carrierHz, ...finding };
    }
    const finding = silentFinding({
      identity: wheel.identity,
      heardCount: newest.size,
      otherCount: others.length,
      unverified: close?.telegram.falseAcceptProbability ?? null,
      unreadableCount: unreadableBursts.length,
    });
    return { ...nothing, state: "not heard", ...finding };
  };

  return {
    lines: job.wheels.map((wheel) => {
      const heard = newest.get(identityOf(wheel) ?? "");
      return heard ? heardLine(wheel, heard) : silentLine(wheel);
    }),
    others: others.map((other) => ({
      ...otherSensor(other, layoutOf, airOf(job)),
      snrDb: loudest.get(other.identity?.toLowerCase() ?? "") ?? null,
    })),
  };
}

/** What the card says of this visit and of a wheel. */
function circumstancesOf(job: JobCard, wheel: Wheel): Circumstances {
  return {
    ambientC: job.ambientC,
    drivenWithin3h: job.drivenLately,
    air: ambientAir(job.ambientKpa, job.altitudeM),
    handGauge: wheel.handGaugeKpa === null ? null : { gaugeKpa: wheel.handGaugeKpa, errorKpa: null },
  };
}

/** Absolute pressure of the air outside, by the barometer or the altitude; `null`: nobody gave one. */
export function airOf(job: Pick<JobCard, "ambientKpa" | "altitudeM">): number | null {
  return job.ambientKpa === null && job.altitudeM === null ? null : ambientAir(job.ambientKpa, job.altitudeM).kpa;
}

function coldOf(reading: Reading, circumstances: Circumstances, placardKpa: number | null): ColdFigure | null {
  const judged = judgePressure(reading, circumstances, placardKpa);
  if (judged === null || judged.cold.kind === "as read" || judged.cold.kind === "cannot be told") return null;
  const { gaugeKpa, expandedKpa } = judged.cold.pressure;
  return { gaugeKpa, plusMinusKpa: expandedKpa, of: judged.of };
}

/** The bursts of steady symbols that no layout reads: sensors that speak another layout, not sparks or collisions. */
export function unreadable(bursts: readonly BurstRecord[]): BurstRecord[] {
  return bursts.filter(isUnreadable);
}

export function isUnreadable({ outcome }: BurstRecord): boolean {
  return UNREADABLE.has(outcome);
}

const UNREADABLE: ReadonlySet<BurstRecord["outcome"]> = new Set(["band", "sync", "line-code", "length", "check"]);

/** Newest first; of one moment the one whose id sorts last. */
function newestByIdentity(telegrams: readonly StoredTelegram[]): Map<string, StoredTelegram> {
  const sorted = telegrams.toSorted((a, b) => (a.at === b.at ? (a.id < b.id ? 1 : -1) : a.at < b.at ? 1 : -1));
  const newest = new Map<string, StoredTelegram>();
  for (const telegram of sorted) {
    const identity = telegram.identity?.toLowerCase();
    if (identity !== undefined && !newest.has(identity)) newest.set(identity, telegram);
  }
  return newest;
}

function loudestByIdentity(telegrams: readonly StoredTelegram[]): Map<string, number> {
  const loudest = new Map<string, number>();
  for (const { identity, telegram } of telegrams) {
    if (identity === null || telegram.snrDb === null) continue;
    const name = identity.toLowerCase();
    loudest.set(name, Math.max(loudest.get(name) ?? Number.NEGATIVE_INFINITY, telegram.snrDb));
  }
  return loudest;
}

function otherSensor(
  { id, identity, telegram }: StoredTelegram,
  layoutOf: ReadonlyMap<string, Layout>,
  ambientKpa: number | null,
): Omit<OtherSensor, "snrDb"> {
  return {
    identity: identity ?? "",
    telegramId: id,
    layout: telegram.layout,
    carrierHz: telegram.carrierHz,
    gaugeKpa: readingOf(telegram, layoutOf.get(telegram.layout), ambientKpa).gaugeKpa,
  };
}

/** Within the reach of one nominal carrier of a sibling, and keyed like it. */
function likeOneOf(
  burst: BurstRecord,
  siblings: readonly StoredTelegram[],
  layoutOf: ReadonlyMap<string, Layout>,
): boolean {
  return siblings.some(({ telegram }) => {
    const keyed: Modulation | undefined = layoutOf.get(telegram.layout)?.modulation;
    return Math.abs(telegram.carrierHz - burst.carrierHz) <= 100e3 && keyed === burst.modulation;
  });
}

/** Of the same kind: keying, and rate within a hundredth. */
function keyedAlike(a: BurstRecord, b: BurstRecord): boolean {
  if (a.modulation !== b.modulation || a.symbolRate === null || b.symbolRate === null) return false;
  return Math.abs(a.symbolRate / b.symbolRate - 1) < 0.01 && Math.abs(a.carrierHz - b.carrierHz) < 100e3;
}

function described({ carrierHz, modulation, symbolRate }: BurstRecord): string {
  const parts = [`${(carrierHz / 1e6).toFixed(2)} MHz`];
  if (modulation !== null) parts.push(modulation.toUpperCase());
  if (symbolRate !== null) parts.push(`${Math.round(symbolRate)} symbols/s`);
  return parts.join(", ");
}
