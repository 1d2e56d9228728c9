import type { BurstRecord, TelegramRecord } from "../records.ts";
import type { BurstReading } from "./burstReading.ts";
import { burstRecord, indexOf } from "./burstRecord.ts";
import { createPlacing, type PlacedBurst } from "./placing.ts";
import { createMerger, type OpenTelegram, telegramRecord } from "./telegrams.ts";

/** Puts bursts and telegrams into order of time while both still come in. */
export interface Timeline {
  /** Bursts may come a little out of order, but never from before the last settled time. */
  add(reading: BurstReading): void;
  /** Nothing that starts before this time is still to come: the records that are now final. */
  settle(untilSeconds: number): (BurstRecord | TelegramRecord)[];
  /** All that is left. */
  end(): (BurstRecord | TelegramRecord)[];
}

export function createTimeline(file: string): Timeline {
  // In order, their frames given to the merger; finished telegrams not yet given out.
  let ordered: PlacedBurst[] = [];
  let telegrams: OpenTelegram<PlacedBurst>[] = [];
  const merger = createMerger<PlacedBurst>();
  const placing = createPlacing(merger);
  let nextIndex = 0;

  function order(untilSeconds: number): void {
    ordered.push(...placing.place(untilSeconds, ordered).bursts);
  }

  function release(untilSeconds: number, ended = false): (BurstRecord | TelegramRecord)[] {
    telegrams.push(...merger.finished(untilSeconds));
    const determined = ended ? Number.POSITIVE_INFINITY : Math.min(untilSeconds, placing.earliestOpen());
    for (const burst of ordered) {
      if (burst.reading.figures.atSeconds >= determined) break;
      if (isTold(burst)) burst.index ??= nextIndex++;
    }
    const safe = ended ? untilSeconds : Math.min(determined, merger.earliestOpen());
    const out: (BurstRecord | TelegramRecord)[] = [];
    telegrams.sort((a, b) => a.first.atSeconds - b.first.atSeconds);
    let t = 0;
    let b = 0;
    for (;;) {
      const burst = ordered[b];
      const telegram = telegrams[t];
      const burstAt = burst ? burst.reading.figures.atSeconds : Number.POSITIVE_INFINITY;
      // A telegram comes after the burst that holds it, though its first symbol may be a little earlier.
      const telegramAt = telegram
        ? Math.max(telegram.first.atSeconds, telegram.bursts[0]!.reading.figures.atSeconds)
        : Number.POSITIVE_INFINITY;
      if (Math.min(burstAt, telegramAt) >= safe) break;
      if (burst && burstAt <= telegramAt) {
        b++;
        if (isTold(burst)) out.push(burstRecord(burst, file));
      } else if (telegram) {
        // A later copy may lie behind a burst that still waits for others.
        if (telegram.bursts.some(({ index }) => index === undefined)) break;
        out.push(telegramRecord(telegram, file, indexOf));
        t++;
      }
    }
    ordered = ordered.slice(b);
    telegrams = telegrams.slice(t);
    return out;
  }

  return {
    add: (reading) => placing.add(reading),
    settle(untilSeconds) {
      order(untilSeconds);
      return release(untilSeconds);
    },
    end() {
      order(Number.POSITIVE_INFINITY);
      return release(Number.POSITIVE_INFINITY, true);
    },
  };
}

/** One that is too low to be believed is told of only where it was read with others. */
function isTold({ reading, role }: PlacedBurst): boolean {
  return !reading.faint || role !== undefined;
}
