import { createContext } from "preact";
import { useContext, useEffect } from "preact/hooks";
import type {
  JobEventBody,
  ReceiverBody,
  RecordingEventBody,
  SnapshotEventBody,
  StoredBurstBody,
  StoredTelegramBody,
} from "../server/http/wire.ts";
import { EVENTS_ADDRESS } from "./api.ts";

/** What the server tells while the page is open. */
export interface LiveEvents {
  readonly telegram: StoredTelegramBody;
  readonly burst: StoredBurstBody;
  readonly receiver: ReceiverBody;
  readonly job: JobEventBody;
  readonly recording: RecordingEventBody;
  readonly snapshot: SnapshotEventBody;
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

/** Asks anew after events of some kinds, at once and then once a second at most. */
export function useLiveReload(kinds: readonly Kind[], reload: () => void): void {
  const live = useContext(LiveContext);
  const key = kinds.join(" ");
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    let due = false;
    const again = () => {
      timer = due ? setTimeout(again, STEP_MS) : undefined;
      if (due) reload();
      due = false;
    };
    const heard = () => {
      due = true;
      if (timer === undefined) again();
    };
    const ends = KINDS.filter((kind) => key.split(" ").includes(kind)).map((kind) => live.listen(kind, heard));
    return () => {
      clearTimeout(timer);
      for (const end of ends) end();
    };
  }, [live, key, reload]);
}

const STEP_MS = 1000;
const KINDS: readonly Kind[] = ["telegram", "burst", "receiver", "job", "recording", "snapshot"];
