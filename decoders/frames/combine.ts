import { hasCopies } from "../signal/matched.ts";
import { chanceOfOneFrame, speaksFor, surenessOf } from "./agreement.ts";
import { type AcceptedFrame, type FramePlace, isStart } from "./burstReading.ts";
import type { FramePlan } from "./frameChecks.ts";
import { afterLooks, VERIFIED_AT } from "./odds.ts";
import { knownLog, readFrame } from "./readFrame.ts";
import { transmissionSeconds } from "./telegrams.ts";

/** A frame that could not be read by itself, as soft values: perhaps one of several copies; with its place if it is one. */
export interface SoftCopy extends FramePlace {
  readonly plan: FramePlan;
  /** ln(P(1)/P(0)) of the symbols of the frame and of as many after it as words of two lengths need. */
  readonly evidence: Float64Array;
  readonly syncEvidence: Float64Array;
  /** How many of the frame's symbols lie inside the burst. */
  readonly inside: number;
}

/** A copy and what it was read as, together with others; `K` stands for its burst. */
export interface CombinedCopy<K> {
  readonly burst: K;
  readonly frame: AcceptedFrame;
}

/** Adds up copies that could not be read one by one. */
export interface Combiner<K> {
  /**
   * Takes a copy, in about the order of time.
   *
   * @returns Every copy that a frame was read from now, if that is verified and was not known before; else none.
   */
  take(copy: SoftCopy, burst: K): readonly CombinedCopy<K>[];
  /** No copy from before this time is still to come: what cannot have another one is forgotten. */
  forget(untilSeconds: number): void;
  /** Start of the earliest copy that may still be added to others. */
  earliestOpen(): number;
}

/** More copies than this are not added up, and none is waited for longer than this. */
const MOST_COPIES = 16;
const LONGEST_SECONDS = 30;
/** Copies of one telegram come from one sender. */
const SAME_CARRIER_HZ = 8_000;
const SAME_RATE = 0.004;
/** Likeness of the symbols of two copies, 0 for chance; with 100 symbols chance reaches this once in a thousand. */
const LEAST_ALIKE = 0.3;
/** Copies of others that are kept at once. */
const MOST_OPEN = 256;

interface Open<K> {
  readonly copy: SoftCopy;
  readonly burst: K;
  /** tanh(e/2) of each symbol: P(1) less P(0). */
  readonly lean: Float64Array;
  readonly untilSeconds: number;
  /** Whether it is told of as part of a telegram. */
  told: boolean;
}

export function createCombiner<K>(): Combiner<K> {
  let open: Open<K>[] = [];
  return {
    take(copy, burst) {
      const one: Open<K> = {
        copy,
        burst,
        lean: copy.evidence.subarray(0, copy.plan.mostSymbols).map((e) => Math.tanh(e / 2)),
        untilSeconds: copy.atSeconds + copiesSeconds(copy.plan, copy.durationSeconds),
        told: false,
      };
      const likenesses = open
        .filter((other) => mayBelong(other, one))
        .map((other) => ({ other, alike: likeness(other.lean, one.lean) }))
        .filter(({ alike }) => alike >= LEAST_ALIKE)
        .sort((a, b) => b.alike - a.alike);
      open.push(one);
      if (open.length > MOST_OPEN) open.shift();
      const group = [one];
      for (const { other } of likenesses) {
        if (group.length === MOST_COPIES) break;
        // Two candidates for one place are no two copies.
        if (group.every((member) => member === one || isApart(member.copy, other.copy))) group.push(other);
      }
      return group.length < 2 ? [] : readTogether(group);
    },
    forget(untilSeconds) {
      open = open.filter((one) => one.untilSeconds > untilSeconds);
    },
    earliestOpen() {
      return open.reduce(
        (least, { copy, told }) => (told ? least : Math.min(least, copy.atSeconds)),
        Number.POSITIVE_INFINITY,
      );
    },
  };
}

function readTogether<K>(group: readonly Open<K>[]): CombinedCopy<K>[] {
  const { plan } = group[0]!.copy;
  const weights = weightsOf(group);
  const evidence = sumOf(
    group.map(({ copy }) => copy.evidence),
    weights,
  );
  const syncEvidence = sumOf(
    group.map(({ copy }) => copy.syncEvidence),
    weights,
  );
  const { symbols: sync } = plan.layout.sync;
  const syncErrors = syncEvidence.reduce((sum, e, j) => sum + (e > 0 === (sync[j] === "1") ? 0 : 1), 0);
  if (!isStart(plan, syncErrors)) return [];
  const inside = Math.max(...group.map(({ copy }) => copy.inside));
  const reading = readFrame(plan, evidence, inside, knownLog(syncEvidence, sync));
  if (reading.falseAcceptProbability === undefined) return [];
  const { symbols, starts } = reading.likeliest;
  const said = group
    .map((one, i) => ({ one, weight: weights[i]!, sureness: surenessOf(one.copy.evidence, symbols, starts) }))
    .filter(({ sureness }) => speaksFor(sureness));
  if (said.length < 2) return [];
  // It was looked at with every copy that came; and the more they contradict it, the surer it has to be.
  const looked = afterLooks(reading.falseAcceptProbability, plan.guardBits, group.length);
  if (looked > VERIFIED_AT) return [];
  const probability =
    looked /
    chanceOfOneFrame(
      plan,
      said.map(({ sureness, weight }) => sureness.map((sure) => weight * sure)),
      reading.bits,
    );
  if (probability > VERIFIED_AT) return [];
  const belonging = said.map(({ one }) => one);
  const news = belonging.filter((one) => !one.told);
  for (const one of belonging) one.told = true;
  return news
    .map(({ copy, burst }) => {
      const { atSeconds, durationSeconds, carrierHz, deviationHz, symbolRate } = copy;
      return {
        burst,
        frame: {
          reading,
          falseAcceptProbability: probability,
          atSeconds,
          durationSeconds,
          carrierHz,
          deviationHz,
          symbolRate,
          copies: belonging.length,
        },
      };
    })
    .sort((a, b) => a.frame.atSeconds - b.frame.atSeconds);
}

/**
 * For how long copies are waited for, at most as many as are added up; 0 where there are none.
 *
 * @param frameSeconds Length of one.
 */
export function copiesSeconds({ layout }: FramePlan, frameSeconds: number): number {
  if (!hasCopies(layout)) return 0;
  return Math.min(LONGEST_SECONDS, transmissionSeconds(layout, frameSeconds, MOST_COPIES));
}

function mayBelong<K>(other: Open<K>, one: Open<K>): boolean {
  const [a, b] = [other.copy, one.copy];
  return (
    a.plan === b.plan &&
    b.atSeconds < other.untilSeconds &&
    a.atSeconds < one.untilSeconds &&
    isApart(a, b) &&
    Math.abs(a.carrierHz - b.carrierHz) <= SAME_CARRIER_HZ &&
    Math.abs(a.symbolRate / b.symbolRate - 1) <= SAME_RATE
  );
}

function isApart(a: SoftCopy, b: SoftCopy): boolean {
  return Math.abs(a.atSeconds - b.atSeconds) > 0.8 * Math.min(a.durationSeconds, b.durationSeconds);
}

/** Agreement of two copies' symbols over what agreement there could be. */
function likeness(a: Float64Array, b: Float64Array): number {
  let both = 0;
  let ofA = 0;
  let ofB = 0;
  for (let j = 0; j < a.length; j++) {
    both += a[j]! * b[j]!;
    ofA += a[j]! * a[j]!;
    ofB += b[j]! * b[j]!;
  }
  return ofA > 0 && ofB > 0 ? both / Math.sqrt(ofA * ofB) : 0;
}

/**
 * A copy whose symbols are as sure as they say agrees with the others as far as both are sure: less agreement, less
 * weight.
 */
function weightsOf<K>(group: readonly Open<K>[]): number[] {
  const sureness = group.map(({ lean }) => lean.reduce((sum, t) => sum + t * t, 0) / lean.length);
  return group.map((one, i) => {
    let alike = 0;
    let expected = 0;
    group.forEach((other, k) => {
      if (k === i) return;
      alike += likeness(one.lean, other.lean);
      expected += Math.sqrt(sureness[i]! * sureness[k]!);
    });
    return expected > 0 ? Math.max(0, Math.min(1, alike / expected)) : 0;
  });
}

function sumOf(rows: readonly Float64Array[], weights: readonly number[]): Float64Array {
  const sum = new Float64Array(Math.max(...rows.map((row) => row.length)));
  rows.forEach((row, i) => {
    for (let j = 0; j < row.length; j++) sum[j] = sum[j]! + weights[i]! * row[j]!;
  });
  return sum;
}
