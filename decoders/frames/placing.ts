import type { BurstReading } from "./burstReading.ts";
import type { OpenTelegram, TelegramMerger } from "./telegrams.ts";

/** A burst that has its place in order of time, and what its frames were taken for. */
export interface PlacedBurst {
  readonly reading: BurstReading;
  readonly index: number;
  readonly role: "telegram" | "repeat" | undefined;
}

/** What placing brought: bursts in order, and the telegrams that they opened or added a copy to, none twice. */
export interface Placed {
  readonly bursts: PlacedBurst[];
  readonly telegrams: Set<OpenTelegram<PlacedBurst>>;
}

/** Bursts as they come in, waiting for their turn. */
export interface Placing {
  /** @param index Of the burst's record; where it is not given, bursts are counted as they are placed. */
  add(reading: BurstReading, index?: number): void;
  /**
   * Bursts that start before this time. Their frames are given to the merger; shadows and doubles are left out.
   *
   * @param recent Bursts placed before that may still cast a shadow.
   */
  place(untilSeconds: number, recent: readonly PlacedBurst[]): Placed;
}

interface Waiting {
  readonly reading: BurstReading;
  readonly index: number | undefined;
}

type Mutable<T> = { -readonly [K in keyof T]: T[K] };

/** @param merger Takes the frames of every burst that is placed. */
export function createPlacing(merger: TelegramMerger<PlacedBurst>): Placing {
  let waiting: Waiting[] = [];
  let nextIndex = 0;

  return {
    add(reading, index) {
      waiting.push({ reading, index });
    },
    place(untilSeconds, recent) {
      const bursts: PlacedBurst[] = [];
      const telegrams: Placed["telegrams"] = new Set();
      const due = waiting.filter((entry) => entry.reading.figures.atSeconds < untilSeconds);
      if (due.length === 0) return { bursts, telegrams };
      waiting = waiting.filter((entry) => entry.reading.figures.atSeconds >= untilSeconds);
      due.sort((a, b) => a.reading.figures.atSeconds - b.reading.figures.atSeconds);
      for (const entry of due) {
        if (isShadow(entry.reading, recent) || isShadow(entry.reading, due)) continue;
        const burst: Mutable<PlacedBurst> = {
          index: entry.index ?? nextIndex,
          reading: entry.reading,
          role: undefined,
        };
        const taken = entry.reading.accepted.map((frame) => merger.take(frame, burst, entry.reading.figures.snrDb));
        // All of it was read already from the other half of the same signal.
        if (taken.length > 0 && taken.every((one) => one.as === "known")) continue;
        if (taken.some((one) => one.as === "opens")) burst.role = "telegram";
        else if (taken.some((one) => one.as === "copy")) burst.role = "repeat";
        if (entry.index === undefined) nextIndex++;
        for (const one of taken) if (one.as !== "known") telegrams.add(one.telegram);
        bursts.push(burst);
      }
      return { bursts, telegrams };
    },
  };
}

/**
 * A weak trace beside a burst that was read, and no longer than that, is its shadow and no burst of its own. So is what
 * comes after a silence in which a frame that was read went on.
 */
function isShadow({ figures, accepted }: BurstReading, others: readonly { readonly reading: BurstReading }[]): boolean {
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
