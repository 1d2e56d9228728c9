import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import type { StoredBurstBody, StoredTelegramBody } from "../../../server/http/wire.ts";
import { useLive } from "../../live.ts";

/** What came in since the page was opened. */
export interface HeardHere {
  readonly bursts: readonly StoredBurstBody[];
  /** Each in its newest revision. */
  readonly telegrams: readonly StoredTelegramBody[];
  /** Milliseconds since 1970, one step a second. */
  readonly nowMs: number;
  readonly clear: () => void;
}

/** Collects what comes in and shows it once a second, so that nothing on the page runs away under a finger. */
export function useHeard(): HeardHere {
  const bursts = useRef(new Map<string, StoredBurstBody>());
  const telegrams = useRef(new Map<string, StoredTelegramBody>());
  const [shown, setShown] = useState(() => look(bursts.current, telegrams.current));
  useLive(
    "burst",
    useCallback((burst) => keepNewest(bursts.current, burst), []),
  );
  useLive(
    "telegram",
    useCallback((telegram) => keepNewest(telegrams.current, telegram), []),
  );
  useEffect(() => {
    const timer = setInterval(() => setShown(look(bursts.current, telegrams.current)), STEP_MS);
    return () => clearInterval(timer);
  }, []);
  const clear = useCallback(() => {
    bursts.current.clear();
    telegrams.current.clear();
    setShown(look(bursts.current, telegrams.current));
  }, []);
  return { ...shown, clear };
}

const STEP_MS = 1000;
/** Ten presses and what else is on the air meanwhile; the rest is in the store. */
const KEPT = 2000;

/** The map keeps the order in which things came; the oldest go first. */
function keepNewest<T extends { readonly id: string }>(kept: Map<string, T>, one: T): void {
  kept.delete(one.id);
  kept.set(one.id, one);
  for (const id of kept.keys()) {
    if (kept.size <= KEPT) return;
    kept.delete(id);
  }
}

function look(bursts: ReadonlyMap<string, StoredBurstBody>, telegrams: ReadonlyMap<string, StoredTelegramBody>) {
  return { bursts: [...bursts.values()], telegrams: [...telegrams.values()], nowMs: Date.now() };
}
