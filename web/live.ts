import { createContext } from "preact";
import { useContext, useEffect } from "preact/hooks";
import type { LessonEventBody } from "../server/http/wire/lessons.ts";
import type { StudyEventBody } from "../server/http/wire/studies.ts";
import type {
  JobEventBody,
  ReceiverBody,
  RecordingEventBody,
  SnapshotEventBody,
  StoredBurstBody,
  StoredTelegramBody,
} from "../server/http/wire.ts";
import { tellThisTab } from "./liveTabs.ts";
import { LIVE_KINDS, type LiveKind } from "./model/liveEvents.ts";

/** What the server tells while the page is open. */
export interface LiveEvents extends Record<LiveKind, unknown> {
  readonly telegram: StoredTelegramBody;
  readonly burst: StoredBurstBody;
  readonly receiver: ReceiverBody;
  readonly job: JobEventBody;
  readonly lot: JobEventBody;
  readonly lesson: LessonEventBody;
  readonly recording: RecordingEventBody;
  readonly study: StudyEventBody;
  readonly snapshot: SnapshotEventBody;
}

type Kind = LiveKind;
type Listener<K extends Kind> = (body: LiveEvents[K]) => void;

export interface Live {
  /** @returns Ends it. */
  readonly listen: <K extends Kind>(kind: K, listener: Listener<K>) => () => void;
}

export function openLive(): Live {
  const listeners = new Map<Kind, Set<(data: string) => void>>(LIVE_KINDS.map((kind) => [kind, new Set()]));
  tellThisTab(({ kind, data }) => {
    for (const hear of listeners.get(kind) ?? []) hear(data);
  });
  return {
    listen(kind, listener) {
      const hear = (data: string) => listener(JSON.parse(data));
      listeners.get(kind)?.add(hear);
      return () => void listeners.get(kind)?.delete(hear);
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
    const ends = LIVE_KINDS.filter((kind) => key.split(" ").includes(kind)).map((kind) => live.listen(kind, heard));
    return () => {
      clearTimeout(timer);
      for (const end of ends) end();
    };
  }, [live, key, reload]);
}

const STEP_MS = 1000;
