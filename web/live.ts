import { createContext } from "preact";
import { useContext, useEffect } from "preact/hooks";
import type { ReceiverBody, StoredBurstBody, StoredTelegramBody } from "../server/http/wire.ts";
import { EVENTS_ADDRESS } from "./api.ts";

/** What the server tells while the page is open. */
export interface LiveEvents {
  readonly telegram: StoredTelegramBody;
  readonly burst: StoredBurstBody;
  readonly receiver: ReceiverBody;
  /** Whose card changed, and how; the rest is asked for. */
  readonly job: { readonly id: string; readonly revision?: number };
  readonly recording: unknown;
  /** What was missed is no longer there: ask for everything anew. */
  readonly snapshot: unknown;
}

type Kind = keyof LiveEvents;
type Listener<K extends Kind> = (body: LiveEvents[K]) => void;

/** One stream for the whole page: a browser opens no more than six to one address. */
export interface Live {
  /** @returns Ends it. */
  readonly listen: <K extends Kind>(kind: K, listener: Listener<K>) => () => void;
}

export function openLive(): Live {
  // The browser opens the stream again by itself, and says the number of the last event that it saw.
  const source = new EventSource(EVENTS_ADDRESS);
  return {
    listen(kind, listener) {
      const take = (event: MessageEvent<string>) => listener(JSON.parse(event.data));
      source.addEventListener(kind, take);
      return () => source.removeEventListener(kind, take);
    },
  };
}

/** A stream on which nothing ever comes, for pages drawn without a server. */
export const SILENT: Live = { listen: () => () => undefined };

export const LiveContext = createContext<Live>(SILENT);

/** Calls `listener` on every event of a kind while the component is shown. */
export function useLive<K extends Kind>(kind: K, listener: Listener<K>): void {
  const live = useContext(LiveContext);
  useEffect(() => live.listen(kind, listener), [live, kind, listener]);
}
