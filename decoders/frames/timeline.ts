import { burstLadder } from "../ladder/burstLadder.ts";
import { firstMissed } from "../ladder/rungs.ts";
import type { BurstRecord, Rung, TelegramRecord } from "../records.ts";
import type { BurstReading } from "./burstReading.ts";
import { hexOfBits } from "./hex.ts";
import { createMerger, type OpenTelegram, round, telegramRecord } from "./telegrams.ts";

/** Puts bursts and telegrams into order of time while both still come in. */
export interface Timeline {
  /** Bursts may come a little out of order, but never from before the last settled time. */
  add(reading: BurstReading): void;
  /** Nothing that starts before this time is still to come: the records that are now final. */
  settle(untilSeconds: number): (BurstRecord | TelegramRecord)[];
  /** All that is left. */
  end(): (BurstRecord | TelegramRecord)[];
}

interface Entry {
  readonly reading: BurstReading;
  index: number;
  role: "telegram" | "repeat" | undefined;
}

export function createTimeline(file: string): Timeline {
  // Added, not yet in order; in order, their frames given to the merger; finished telegrams not yet given out.
  let waiting: Entry[] = [];
  let ordered: Entry[] = [];
  let telegrams: OpenTelegram<Entry>[] = [];
  const merger = createMerger<Entry>();
  let nextIndex = 0;

  function order(untilSeconds: number): void {
    const due = waiting.filter((entry) => entry.reading.figures.atSeconds < untilSeconds);
    if (due.length === 0) return;
    waiting = waiting.filter((entry) => entry.reading.figures.atSeconds >= untilSeconds);
    due.sort((a, b) => a.reading.figures.atSeconds - b.reading.figures.atSeconds);
    const around = [...ordered, ...due];
    for (const entry of due) {
      if (isShadow(entry.reading, around)) continue;
      const taken = entry.reading.accepted.map((frame) => merger.take(frame, entry, entry.reading.figures.snrDb));
      // All of it was read already from the other half of the same signal.
      if (taken.length > 0 && taken.every((one) => one === "known")) continue;
      if (taken.includes("opens")) entry.role = "telegram";
      else if (taken.includes("copy")) entry.role = "repeat";
      entry.index = nextIndex++;
      ordered.push(entry);
    }
  }

  function release(untilSeconds: number): (BurstRecord | TelegramRecord)[] {
    telegrams.push(...merger.finished(untilSeconds));
    const safe = Math.min(untilSeconds, merger.earliestOpen());
    const out: (BurstRecord | TelegramRecord)[] = [];
    telegrams.sort((a, b) => a.first.atSeconds - b.first.atSeconds);
    let t = 0;
    let b = 0;
    for (;;) {
      const entry = ordered[b];
      const telegram = telegrams[t];
      const burstAt = entry ? entry.reading.figures.atSeconds : Number.POSITIVE_INFINITY;
      // A telegram comes after the burst that holds it, though its first symbol may be a little earlier.
      const telegramAt = telegram
        ? Math.max(telegram.first.atSeconds, telegram.bursts[0]!.reading.figures.atSeconds)
        : Number.POSITIVE_INFINITY;
      if (Math.min(burstAt, telegramAt) >= safe) break;
      if (entry && burstAt <= telegramAt) {
        out.push(burstRecord(entry, file));
        b++;
      } else if (telegram) {
        out.push(telegramRecord(telegram, file, (burst) => burst.index));
        t++;
      }
    }
    ordered = ordered.slice(b);
    telegrams = telegrams.slice(t);
    return out;
  }

  return {
    add(reading) {
      waiting.push({ reading, index: -1, role: undefined });
    },
    settle(untilSeconds) {
      order(untilSeconds);
      return release(untilSeconds);
    },
    end() {
      order(Number.POSITIVE_INFINITY);
      return release(Number.POSITIVE_INFINITY);
    },
  };
}

/**
 * A weak trace beside a burst that was read, and no longer than that, is its shadow and no burst of its own. So is what
 * comes after a silence in which a frame that was read went on.
 */
function isShadow({ figures, accepted }: BurstReading, others: readonly Entry[]): boolean {
  if (accepted.length > 0 || figures.snrDb === undefined) return false;
  const end = figures.atSeconds + figures.durationSeconds;
  return others.some(({ reading }) => {
    const other = reading.figures;
    const within = reading.goesOnFrom !== undefined && figures.atSeconds > reading.goesOnFrom;
    return (
      reading.accepted.length > 0 &&
      (within || figures.snrDb! < SHADOW_DB) &&
      figures.atSeconds > other.atSeconds - SHADOW_SECONDS &&
      end < other.atSeconds + other.durationSeconds + SHADOW_SECONDS &&
      Math.abs(figures.carrierHz - other.carrierHz) < SHADOW_HZ
    );
  });
}

const SHADOW_DB = 6;
const SHADOW_SECONDS = 0.002;
const SHADOW_HZ = 160_000;

function burstRecord(entry: Entry, file: string): BurstRecord {
  const { figures } = entry.reading;
  const { rungs, layout } = burstLadder(entry.reading);
  return {
    kind: "burst",
    index: entry.index,
    file,
    atSeconds: round(figures.atSeconds, 6),
    durationSeconds: round(figures.durationSeconds, 6),
    carrierHz: round(figures.carrierHz, 0),
    modulation: figures.modulation ?? null,
    deviationHz: orNull(figures.deviationHz, 0),
    symbolRate: orNull(figures.symbolRate, 2),
    symbolRateUncertainty: orNull(figures.symbolRateSigma, 3),
    snrDb: orNull(figures.snrDb, 1),
    levelDbfs: orNull(figures.levelDbfs, 1),
    clipped: (figures.clippedShare ?? 0) > 0,
    outcome: entry.role ?? missed(rungs),
    layout: layout ?? null,
    symbols: figures.symbols ? hexOfBits(figures.symbols) : null,
    symbolCount: figures.symbols?.length ?? 0,
    rungs,
  };
}

function missed(rungs: readonly Rung[]): BurstRecord["outcome"] {
  const rung = firstMissed(rungs);
  if (rung === undefined) throw new RangeError("a burst that missed no rung must have a telegram");
  return rung;
}

function orNull(value: number | undefined, digits: number): number | null {
  return value === undefined || !Number.isFinite(value) ? null : round(value, digits);
}
