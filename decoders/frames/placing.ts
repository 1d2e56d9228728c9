import type { BurstReading } from "./burstReading.ts";
import { createCombiner } from "./combine.ts";
import type { OpenTelegram, TelegramMerger } from "./telegrams.ts";

/** A burst that has its place in order of time, and what its frames were taken for. */
export interface PlacedBurst {
  /** Frames that were read together with other bursts are added to it later. */
  readonly reading: BurstReading;
  /** `undefined` until it is told of, where bursts are counted as they are told. */
  index: number | undefined;
  readonly role: "telegram" | "repeat" | undefined;
}

/** What placing brought: bursts in order, and the telegrams that they opened or added a copy to, none twice. */
export interface Placed {
  readonly bursts: PlacedBurst[];
  readonly telegrams: Set<OpenTelegram<PlacedBurst>>;
}

/** Bursts as they come in, waiting for their turn. */
export interface Placing {
  /** @param index Of the burst's record, where it has one already. */
  add(reading: BurstReading, index?: number): void;
  /**
   * Bursts that start before this time. Their frames are given to the merger; shadows and doubles are left out.
   *
   * @param recent Bursts placed before that may still cast a shadow.
   */
  place(untilSeconds: number, recent: readonly PlacedBurst[]): Placed;
  /** Start of the earliest burst that may still be read together with one to come. */
  earliestOpen(): number;
}

interface Waiting {
  readonly reading: BurstReading;
  readonly index: number | undefined;
}

type Mutable<T> = { -readonly [K in keyof T]: T[K] };

/** @param merger Takes the frames of every burst that is placed. */
export function createPlacing(merger: TelegramMerger<PlacedBurst>): Placing {
  let waiting: Waiting[] = [];
  const combiner = createCombiner<Mutable<PlacedBurst>>();

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
          index: entry.index,
          reading: entry.reading,
          role: undefined,
        };
        const taken = entry.reading.accepted.map((frame) => merger.take(frame, burst, entry.reading.figures.snrDb));
        // All of it was read already from the other half of the same signal.
        if (taken.length > 0 && taken.every((one) => one.as === "known")) continue;
        if (taken.some((one) => one.as === "opens")) burst.role = "telegram";
        else if (taken.some((one) => one.as === "copy")) burst.role = "repeat";
        for (const one of taken) if (one.as !== "known") telegrams.add(one.telegram);
        bursts.push(burst);
        for (const copy of entry.reading.copies ?? []) {
          for (const one of combiner.take(copy, burst)) {
            const { as, telegram } = merger.take(one.frame, one.burst, one.burst.reading.figures.snrDb);
            if (as === "known") continue;
            one.burst.role ??= as === "opens" ? "telegram" : "repeat";
            one.burst.reading = { ...one.burst.reading, accepted: [...one.burst.reading.accepted, one.frame] };
            telegrams.add(telegram);
          }
        }
      }
      if (Number.isFinite(untilSeconds)) combiner.forget(untilSeconds);
      return { bursts, telegrams };
    },
    earliestOpen: () => combiner.earliestOpen(),
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
