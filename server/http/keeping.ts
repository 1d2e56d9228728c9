import type { z } from "zod";
import type { Store } from "../store/store.ts";
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
/** Rows deleted at a time; others come in between. */
const TOGETHER = 2000;
const PAUSE_MS = 20;

export async function createKeeping(
  store: Pick<Store, "setting" | "setSetting" | "usedBytes" | "historyBefore" | "forgetHistory" | "historyTimeAt">,
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
    return {
      ...asked,
      usedBytes,
      goes: before === undefined ? null : { before, ...(await store.historyBefore(before)) },
    };
  }

  async function passNow(): Promise<number> {
    const before = await limitOf(choice, await store.usedBytes());
    if (before === undefined) return 0;
    let gone = 0;
    for (let some = TOGETHER; some === TOGETHER && !isStopped; ) {
      some = await store.forgetHistory(before, TOGETHER);
      gone += some;
      await new Promise((resume) => setTimeout(resume, PAUSE_MS));
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
