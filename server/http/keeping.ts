import type { z } from "zod";
import { HISTORY_KINDS, type HistoryKind, type RowRange, type Store } from "../store/store.ts";
import { type KeepingBody, KeepingChoiceBody } from "./wire/keeping.ts";

/** How long, and how much, of what receivers said is kept. Recordings, cards and layouts are never taken away by this. */
export interface Keeping {
  /** As it is chosen, or as it would be with another choice. */
  readonly now: (choice?: Choice) => Promise<KeepingBody>;
  readonly choose: (choice: Choice) => Promise<KeepingBody>;
  /** Takes away what is over, a little at a time. Settles when it is gone. */
  readonly pass: () => Promise<number>;
  readonly stop: () => void;
}

type Choice = z.infer<typeof KeepingChoiceBody>;

const SETTING = "keeping";
const EVERY_MS = 3600_000;
const MONTH_MS = 30.4 * 24 * 3600_000;
/** Rows looked at in one go. */
const TOGETHER = 20_000;
const MOST_ROUNDS = 10;
const PAUSE_MS = 20;

export async function createKeeping(
  store: Pick<
    Store,
    "setting" | "setSetting" | "usedBytes" | "historyRows" | "countHistory" | "forgetHistory" | "historyTimeAt"
  >,
  { now, log }: { readonly now: () => number; readonly log: (entry: string) => void },
): Promise<Keeping> {
  const kept = await store.setting(SETTING);
  let choice: Choice =
    kept === undefined ? { months: null, gigabytes: null } : KeepingChoiceBody.parse(JSON.parse(kept));
  let isStopped = false;
  let running: Promise<number> | undefined;

  /** What came before this moment is over; `undefined`: nothing is. */
  async function limitOf({ months, gigabytes }: Choice, usedBytes: number): Promise<string | undefined> {
    const byAge = months === null ? undefined : new Date(now() - months * MONTH_MS).toISOString();
    const over = gigabytes === null ? 0 : usedBytes - gigabytes * 1e9;
    // Rows are alike in size, so the oldest share of the lines stands for the oldest share of the bytes.
    const bySize = over > 0 ? await store.historyTimeAt(Math.min(1, over / usedBytes)) : undefined;
    return [byAge, bySize]
      .filter((one) => one !== undefined)
      .toSorted()
      .at(-1);
  }

  async function bodyOf(asked: Choice): Promise<KeepingBody> {
    const usedBytes = await store.usedBytes();
    const before = await limitOf(asked, usedBytes);
    if (before === undefined) return { ...asked, usedBytes, goes: null };
    const counts = { lines: 0, bursts: 0, telegrams: 0, aside: 0 };
    await everyStretch(async (kind, rows) => {
      counts[kind] += await store.countHistory(kind, before, rows);
    });
    return { ...asked, usedBytes, goes: { before, ...counts } };
  }

  /** All that is kept of receivers, a little at a time; others come in between. */
  async function everyStretch(work: (kind: HistoryKind, rows: RowRange) => Promise<void>): Promise<void> {
    for (const kind of HISTORY_KINDS) {
      const all = await store.historyRows(kind);
      for (let from = all?.from ?? 0; all && from < all.to && !isStopped; from += TOGETHER) {
        await work(kind, { from, to: Math.min(all.to, from + TOGETHER) });
      }
    }
  }

  /** By size it is guessed how much has to go, so it is looked at again until it fits or nothing more may go. */
  async function passNow(): Promise<number> {
    let gone = 0;
    for (let round = 0; round < MOST_ROUNDS && !isStopped; round++) {
      const before = await limitOf(choice, await store.usedBytes());
      if (before === undefined) break;
      const goneBefore = gone;
      await everyStretch(async (kind, rows) => {
        const some = await store.forgetHistory(kind, before, rows);
        gone += some;
        if (some > 0) await new Promise((resume) => setTimeout(resume, PAUSE_MS));
      });
      if (gone === goneBefore) break;
    }
    return gone;
  }

  function pass(): Promise<number> {
    running ??= passNow().finally(() => {
      running = undefined;
    });
    return running;
  }

  const quietly = () => void pass().catch((error: unknown) => log(`what is over was not taken away: ${String(error)}`));
  const timer = setInterval(quietly, EVERY_MS);
  timer.unref();

  return {
    now: (asked = choice) => bodyOf(asked),
    async choose(next) {
      await store.setSetting(SETTING, JSON.stringify(next));
      choice = next;
      quietly();
      return bodyOf(next);
    },
    pass,
    stop() {
      isStopped = true;
      clearInterval(timer);
    },
  };
}
