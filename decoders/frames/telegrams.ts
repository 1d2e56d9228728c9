import type { Layout } from "../layouts/schema.ts";
import type { TelegramRecord } from "../records.ts";
import type { AcceptedFrame } from "./burstReading.ts";
import { fieldValues } from "./fields.ts";
import { hexOfBits } from "./hex.ts";
import { VERIFIED_AT } from "./odds.ts";

/** A telegram that may still get copies. `K` stands for a burst. */
export interface OpenTelegram<K> {
  /** The copy that began first. */
  first: AcceptedFrame;
  /** No copy that starts later belongs to it. */
  readonly untilSeconds: number;
  readonly bits: string;
  readonly snrDb: number | undefined;
  /** Bursts that hold its copies, the first one's first, none twice. */
  readonly bursts: K[];
  /** When each copy began. */
  readonly copies: number[];
  /** The surest copy. */
  best: AcceptedFrame;
  /** Of the copy with the fewest. */
  repairedBits: number;
}

/** Puts copies of one transmission together. */
export interface TelegramMerger<K> {
  /**
   * Takes a frame. Says whether it opens a telegram, is a copy, or is a copy that was read already, from another burst
   * that holds the other half of the same signal. Frames should come in order of time; a copy that comes late is still
   * taken, as long as its telegram was not given out as finished.
   */
  take(frame: AcceptedFrame, burst: K, snrDb: number | undefined): Taken<K>;
  /** Telegrams that no frame from this time on can belong to, in order of time; forgotten here. */
  finished(settledSeconds: number): OpenTelegram<K>[];
  /** Start of the earliest telegram that may still get copies. */
  earliestOpen(): number;
}

export interface Taken<K> {
  readonly as: "opens" | "copy" | "known";
  readonly telegram: OpenTelegram<K>;
}

/** Gaps between copies may be this much longer than the layout says. */
const GAP_SLACK = 1.05;

export function createMerger<K>(): TelegramMerger<K> {
  let open: OpenTelegram<K>[] = [];
  return {
    take(frame, burst, snrDb) {
      const bits = hexOfBits(frame.reading.bits);
      const telegram = open.find(
        (other) =>
          other.first.reading.plan === frame.reading.plan &&
          other.bits === bits &&
          frame.atSeconds < other.untilSeconds &&
          // A copy that comes late may have gone first, but by no more than the others may follow.
          frame.atSeconds > 2 * other.first.atSeconds - other.untilSeconds,
      );
      if (telegram) {
        if (telegram.copies.some((at) => Math.abs(at - frame.atSeconds) < frame.durationSeconds / 2))
          return { as: "known", telegram };
        telegram.copies.push(frame.atSeconds);
        const isFirst = frame.atSeconds < telegram.first.atSeconds;
        if (isFirst) telegram.first = frame;
        if (!telegram.bursts.includes(burst)) telegram.bursts[isFirst ? "unshift" : "push"](burst);
        telegram.repairedBits = Math.min(telegram.repairedBits, frame.reading.repairedBits);
        if (frame.falseAcceptProbability < telegram.best.falseAcceptProbability) telegram.best = frame;
        return { as: "copy", telegram };
      }
      const opened: OpenTelegram<K> = {
        first: frame,
        untilSeconds: frame.atSeconds + transmissionSeconds(frame.reading.plan.layout, frame.durationSeconds),
        bits,
        snrDb,
        bursts: [burst],
        copies: [frame.atSeconds],
        best: frame,
        repairedBits: frame.reading.repairedBits,
      };
      open.push(opened);
      return { as: "opens", telegram: opened };
    },
    finished(settledSeconds) {
      const done = open.filter((telegram) => telegram.untilSeconds <= settledSeconds);
      open = open.filter((telegram) => telegram.untilSeconds > settledSeconds);
      return done;
    },
    earliestOpen() {
      return open.reduce((least, telegram) => Math.min(least, telegram.first.atSeconds), Number.POSITIVE_INFINITY);
    },
  };
}

/**
 * How long one transmission with all its copies takes; just the frame where the layout repeats nothing.
 *
 * @param frameSeconds Length of one.
 * @param mostCopies As many of them as count.
 */
export function transmissionSeconds(
  { repeats }: Layout,
  frameSeconds: number,
  mostCopies: number = Number.POSITIVE_INFINITY,
): number {
  return repeats ? GAP_SLACK * Math.min(mostCopies, repeats.count) * (frameSeconds + repeats.gapSeconds) : frameSeconds;
}

/** The record of a finished telegram. @param indexOf Index of a burst's record. */
export function telegramRecord<K>(
  telegram: OpenTelegram<K>,
  file: string,
  indexOf: (burst: K) => number,
): TelegramRecord {
  const { first, best } = telegram;
  const { plan, bits } = first.reading;
  const repeats = telegram.bursts.map(indexOf);
  return {
    kind: "telegram",
    file,
    burst: repeats[0]!,
    repeats,
    layout: plan.layout.id,
    atSeconds: round(first.atSeconds, 6),
    carrierHz: round(best.carrierHz, 0),
    bits: telegram.bits,
    bitCount: plan.layout.bits,
    verified: isVerified(telegram),
    repairedBits: telegram.repairedBits,
    falseAcceptProbability: Number(best.falseAcceptProbability.toPrecision(3)),
    uncheckedBits: plan.covered.reduce((count, covered) => count + (covered ? 0 : 1), 0),
    snrDb: telegram.snrDb === undefined ? null : round(telegram.snrDb, 1),
    fields: fieldValues(plan.layout, bits),
  };
}

/** Whether it counts as heard; what no check covers never does. */
export function isVerified<K>({ first, best }: OpenTelegram<K>): boolean {
  return first.reading.plan.layout.checks.length > 0 && best.falseAcceptProbability <= VERIFIED_AT;
}

export function round(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}
