import type { BurstRecord, TelegramRecord } from "../records.ts";
import { burstRecord } from "./burstRecord.ts";
import type { Placed, PlacedBurst } from "./placing.ts";
import { createMerger, isVerified, type OpenTelegram, type TelegramMerger, telegramRecord } from "./telegrams.ts";

/** What is told while bursts still come in. */
export type LiveTold = LiveBurst | LiveTelegram;

export interface LiveBurst {
  readonly kind: "burst";
  readonly burst: BurstRecord;
}

export interface LiveTelegram {
  readonly kind: "telegram";
  /** Index of the burst that opened it; with `ordinal` its identity, which stays when it is revised. */
  readonly opener: number;
  /** Which of the telegrams that this burst opened, from 0. */
  readonly ordinal: number;
  /** 1 when it is told first, up by one with each copy. */
  readonly revision: number;
  readonly telegram: TelegramRecord;
}

/** Tells of bursts at once, of telegrams as soon as they are verified. */
export interface Teller {
  /** To be given every frame, in the order of the bursts. */
  readonly merger: TelegramMerger<PlacedBurst>;
  /** @param pushed How many bursts came for it, those included that are no bursts of their own. */
  take(placed: Placed, pushed: number): LiveTold[];
  /** No burst from before this time is expected any more: unverified telegrams that can have no more copies. */
  settle(untilSeconds: number): LiveTold[];
  /** The bursts of the last second, and maybe some before. */
  recent(): readonly PlacedBurst[];
  /** How many of the bursts taken last still hang together with what may come. */
  unsettled(): number;
}

/** A copy that a receiver sends again after a gap still finds its telegram so much later. */
export const REMEMBERED_SECONDS = 60;
/** What is remembered is looked through once in so much time, not with every burst. */
const SWEEP_SECONDS = 1;
/** Bursts that are kept at least before the old ones among them are looked for. */
const FEWEST_RECENT = 64;
/** A gathering of telegrams that never ends is cut here; one that spans the cut may then be told twice. */
const MOST_UNSETTLED = 4096;

interface Known {
  readonly telegram: OpenTelegram<PlacedBurst>;
  readonly opener: number;
  readonly ordinal: number;
  /** Places of its first and last burst in the order they came. */
  readonly from: number;
  to: number;
  /** How many copies it had before it was told first; `undefined` while it is not told. */
  copiesBefore: number | undefined;
  finished: boolean;
}

export function createTeller(file: string): Teller {
  const merger = createMerger<PlacedBurst>();
  const known = new Map<OpenTelegram<PlacedBurst>, Known>();
  const untold = new Set<Known>();
  let recent: PlacedBurst[] = [];
  let mostRecent = FEWEST_RECENT;
  let place = 0; // of the next burst
  let sweptSeconds = Number.NEGATIVE_INFINITY;

  function told(one: Known): LiveTelegram {
    const copies = one.telegram.copies.length;
    one.copiesBefore ??= copies - 1;
    untold.delete(one);
    return {
      kind: "telegram",
      opener: one.opener,
      ordinal: one.ordinal,
      revision: copies - one.copiesBefore,
      telegram: telegramRecord(one.telegram, file, ({ index }) => index),
    };
  }

  /** @param opened How many telegrams each burst of now opened so far, by its index. */
  function note(telegram: OpenTelegram<PlacedBurst>, from: number, to: number, opened: Map<number, number>): Known {
    const before = known.get(telegram);
    if (before) {
      before.to = to;
      return before;
    }
    const opener = telegram.bursts[0]!.index;
    const ordinal = opened.get(opener) ?? 0;
    opened.set(opener, ordinal + 1);
    const one: Known = { telegram, opener, ordinal, from, to, copiesBefore: undefined, finished: false };
    known.set(telegram, one);
    untold.add(one);
    return one;
  }

  function firstUnsettled(): number {
    let first = place;
    for (const one of known.values()) if (!one.finished) first = Math.min(first, one.from);
    // What is finished counts as well if it reaches past that place: its copies there would open it anew.
    for (let moved = true; moved; ) {
      moved = false;
      for (const one of known.values()) {
        if (one.from >= first || one.to < first) continue;
        first = one.from;
        moved = true;
      }
    }
    return Math.max(first, place - MOST_UNSETTLED);
  }

  return {
    merger,
    take({ bursts, telegrams }, pushed) {
      const out: LiveTold[] = [];
      const begun = bursts[0]?.reading.figures.atSeconds ?? 0;
      recent.push(...bursts);
      if (recent.length > mostRecent) {
        recent = recent.filter((burst) => burst.reading.figures.atSeconds > begun - 1);
        mostRecent = Math.max(FEWEST_RECENT, 2 * recent.length);
      }
      const places = new Map(bursts.map((burst, i) => [burst, place + i]));
      place += pushed;
      for (const burst of bursts) out.push({ kind: "burst", burst: burstRecord(burst, file) });
      const opened = new Map<number, number>();
      for (const telegram of telegrams) {
        const reached = telegram.bursts.map((burst) => places.get(burst)).filter((at) => at !== undefined);
        const one = note(telegram, Math.min(...reached), Math.max(...reached), opened);
        if (one.copiesBefore !== undefined || isVerified(telegram)) out.push(told(one));
      }
      return out;
    },
    settle(untilSeconds) {
      const out: LiveTold[] = [];
      for (const one of untold) if (one.telegram.untilSeconds <= untilSeconds) out.push(told(one));
      if (Math.abs(untilSeconds - sweptSeconds) < SWEEP_SECONDS) return out;
      sweptSeconds = untilSeconds;
      for (const telegram of merger.finished(untilSeconds - REMEMBERED_SECONDS)) known.get(telegram)!.finished = true;
      const first = firstUnsettled();
      for (const one of known.values()) if (one.finished && one.to < first) known.delete(one.telegram);
      return out;
    },
    recent: () => recent,
    unsettled: () => place - firstUnsettled(),
  };
}
