import type { BurstRecord } from "../../../decoders/records.ts";
import { ANOTHER_BAND_HZ, middleOf, ODD_LEVEL_DB } from "../siblings.ts";
import { isUnreadable } from "../wheelLines.ts";
import type { Outcomes } from "./rank.ts";

/** What is known of one wheel and of the visit. `null`: nobody knows, which says nothing either way. */
export interface SilenceInput {
  readonly state: "heard" | "sending, not readable" | "not heard";
  /** How many of the other wheels there are, and how many of them were heard. */
  readonly siblings: { readonly count: number; readonly heard: number };
  /** Every burst of the visit, those of telegrams too. */
  readonly bursts: readonly BurstRecord[];
  /** Whether any of it came as samples, so that what was not told of was not there. */
  readonly sampled: boolean;
  /** Centres of the bands that were listened to. */
  readonly listenedHz: readonly number[];
  /** Of carriers without keying: the part of the time that each was there. `null` where only a receiver's lines came. */
  readonly interfererShares: readonly number[] | null;
  readonly expectedCarrierHz: number | null;
  /** Telegrams with this wheel's identity that could not be verified. */
  readonly unverified: number;
  /** Who answered this wheel's wakes; `null` without a wake mark. */
  readonly wakeAnswer: "nobody" | "another" | "sibling" | "itself" | null;
  /** By how much it is weaker than the middle of its siblings, in dB; `null` where that is not known. */
  readonly weakerDb: number | null;
  /** Sensors of other cars that came in; `null` where nothing was listened to. */
  readonly neighbours: number | null;
  /** Of this sensor at earlier visits; `null` where its identity is not known. */
  readonly history: "sound" | "low battery" | "never" | null;
  /** Whether its identity is known by hand; `null` where that of no wheel is. */
  readonly identityKnown: boolean | null;
  readonly ageYears: number | null;
  readonly fitted: "blank" | "new" | "no";
  readonly lamp: "steady" | "flashing" | "off" | null;
  readonly listed: "listed" | "not listed" | "empty" | null;
  /** `answers twice`: one identity answered the wakes of this wheel and of another. */
  readonly duplicate: "yes" | "answers twice" | "on purpose" | "no";
  /** Whether a tyre is at or below the lamp's threshold; `null` where none can be judged. */
  readonly lowTyre: boolean | null;
}

const OLD_YEARS = 8;
/** A carrier that is there for less of the time comes and goes; half of it may have been another band's. */
const STEADY_SHARE = 0.3;
/** No telegram with its copies lasts so long without a pause. */
const LONGEST_SECONDS = 0.2;
/** A single burst without keying may be a switch. */
const LEAST_PULSES = 3;
/** What could not be read below this was weak. */
const WEAK_DB = 12;
/** Of carriers and rates: within these a sensor is like its siblings; within the wider ones a little off. */
const ALIKE = { carrierHz: 30e3, rate: 0.012 };
const SHIFTED = { carrierHz: 250e3, rate: 0.12 };

/** The outcome of every piece of evidence that something is known of. */
export function evidenceOf(input: SilenceInput): Outcomes {
  const found: Record<string, string | undefined> = {
    state: input.state,
    siblings: siblingsOf(input),
    "other-band": otherBand(input),
    overload: overload(input),
    interferer: interferer(input),
    overlap: overlap(input),
    "weak-signs": weakSigns(input),
    "unread-kind": unreadKind(input),
    "written-id": input.identityKnown === null ? undefined : input.identityKnown ? "known" : "unknown",
    listening: listening(input),
    "wake-answer": input.wakeAnswer ?? undefined,
    "odd-level": input.weakerDb === null ? undefined : input.weakerDb >= ODD_LEVEL_DB ? "weaker" : "alike",
    neighbours: input.neighbours === null ? undefined : input.neighbours > 0 ? "yes" : "no",
    history: input.history ?? undefined,
    age: input.ageYears === null ? undefined : input.ageYears >= OLD_YEARS ? "old" : "young",
    fitted: input.fitted,
    lamp: input.lamp ?? undefined,
    listed: input.listed ?? undefined,
    duplicate: input.duplicate,
    "low-tyre": input.lowTyre === null ? undefined : input.lowTyre ? "yes" : "no",
  };
  return Object.fromEntries(
    Object.entries(found).flatMap(([id, outcome]) => (outcome === undefined ? [] : [[id, outcome]])),
  );
}

function siblingsOf({ siblings, bursts, listenedHz }: SilenceInput): string | undefined {
  if (siblings.count === 0 || listenedHz.length === 0) return undefined;
  if (siblings.heard > 0) return siblings.heard === siblings.count ? "all" : "some";
  return bursts.filter(isUnread).length > siblings.count ? "unread" : "none";
}

/** A burst of steady symbols, strong enough, that no layout reads. */
export function isUnread(burst: BurstRecord): boolean {
  const { modulation, symbolRate, snrDb, durationSeconds } = burst;
  return (
    isUnreadable(burst) &&
    modulation !== null &&
    symbolRate !== null &&
    (snrDb ?? WEAK_DB) >= WEAK_DB &&
    durationSeconds <= LONGEST_SECONDS
  );
}

function isReading({ outcome }: BurstRecord): boolean {
  return outcome === "telegram" || outcome === "repeat";
}

function otherBand({ bursts, listenedHz, expectedCarrierHz }: SilenceInput): string | undefined {
  const home =
    expectedCarrierHz ?? middleOf(bursts.filter(isReading).map(({ carrierHz }) => carrierHz)) ?? listenedHz[0];
  if (home === undefined) return undefined;
  const isAway = (hz: number) => Math.abs(hz - home) > ANOTHER_BAND_HZ;
  if (bursts.some(({ carrierHz, snrDb }) => isAway(carrierHz) && (snrDb ?? WEAK_DB) >= WEAK_DB)) return "there";
  return listenedHz.some(isAway) ? "nothing" : undefined;
}

function overload({ bursts, sampled }: SilenceInput): string | undefined {
  if (bursts.some(({ clipped }) => clipped)) return "yes";
  return sampled ? "no" : undefined;
}

function interferer({ bursts, interfererShares: shares }: SilenceInput): string | undefined {
  const pulses = bursts.filter((burst) => reasonsOf(burst).includes("carrier-unkeyed")).length;
  const goesOn = bursts.some((burst) => !isReading(burst) && burst.durationSeconds > LONGEST_SECONDS);
  if (shares?.some((share) => share >= STEADY_SHARE)) return "steady";
  if (pulses >= LEAST_PULSES || goesOn || (shares?.length ?? 0) > 0) return "pulsed";
  return shares === null ? undefined : "none";
}

function overlap({ bursts, sampled }: SilenceInput): string | undefined {
  const overlapped = bursts.some((burst) =>
    reasonsOf(burst).some((one) => one === "two-senders" || one === "second-sender"),
  );
  return overlapped ? "yes" : sampled ? "no" : undefined;
}

function weakSigns({ bursts, unverified, listenedHz }: SilenceInput): string | undefined {
  if (unverified > 0) return "yes";
  const weak = bursts.some((burst) => !isReading(burst) && !burst.clipped && (burst.snrDb ?? WEAK_DB) < WEAK_DB);
  if (weak) return "yes";
  return listenedHz.length > 0 ? "no" : undefined;
}

/** How the bursts that no layout reads compare with those of the other wheels. */
function unreadKind({ bursts, listenedHz }: SilenceInput): string | undefined {
  const read = bursts.filter(isReading);
  const unread = bursts.filter(isUnread);
  if (unread.length === 0) return listenedHz.length > 0 ? "none" : undefined;
  const rate = middleOf(read.flatMap(({ symbolRate }) => (symbolRate === null ? [] : [symbolRate])));
  const carrierHz = middleOf(read.map((burst) => burst.carrierHz));
  const keyed = read[0]?.modulation;
  if (rate === undefined || carrierHz === undefined) return undefined;
  const kinds = unread.map((burst) => {
    const offRate = Math.abs((burst.symbolRate ?? rate) / rate - 1);
    const offHz = Math.abs(burst.carrierHz - carrierHz);
    if (burst.modulation !== keyed || offRate > SHIFTED.rate || offHz > SHIFTED.carrierHz) return "different";
    return offRate <= ALIKE.rate && offHz <= ALIKE.carrierHz ? "alike" : "shifted";
  });
  return (["different", "shifted", "alike"] as const).toSorted((a, b) => count(kinds, b) - count(kinds, a))[0];
}

function listening({ listenedHz, expectedCarrierHz }: SilenceInput): string | undefined {
  if (expectedCarrierHz === null || listenedHz.length === 0) return undefined;
  return listenedHz.some((hz) => Math.abs(hz - expectedCarrierHz) <= ANOTHER_BAND_HZ) ? "there" : "elsewhere";
}

function reasonsOf({ rungs }: BurstRecord): string[] {
  return rungs.map(({ reason }) => reason);
}

function count(all: readonly string[], one: string): number {
  return all.filter((other) => other === one).length;
}
