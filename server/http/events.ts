import type { EventType, NewEvent, Store, StoredEvent } from "../store/store.ts";

/** What happens, told to every page that listens, in the order it was stored. */
export interface Events {
  /** Stores an event and tells it. Never rejects: what cannot be stored is logged. */
  publish(type: EventType, body: unknown): Promise<void>;
  /**
   * Tells a listener of everything from now on, and first of what came after `lastNumber`.
   *
   * @param lastNumber The last one it saw; `undefined` for a new one, which is only told where it begins.
   * @returns Ends it.
   */
  listen(lastNumber: number | undefined, listener: Listener): Promise<() => void>;
  /** Ends all listeners, at once. Settles when all that was published is stored. */
  close(): Promise<void>;
}

export interface Listener {
  readonly tell: (event: StoredEvent) => void;
  /** The number from which a new listener goes on. */
  readonly begin: (number: number) => void;
  readonly end: () => void;
  /**
   * Settles when what was told is on its way, so that more may be told; `false` if the listener has gone.
   *
   * Only what was missed waits for it: a page that comes back may be megabytes behind.
   */
  readonly room: () => Promise<boolean>;
}

/** Events read from the store at a time. */
const TOGETHER = 100;
/** And where they are told to all at once. */
const TAILED = 1000;
const MISSED = "What was missed is no longer kept: ask for everything anew.";

/** Where others append events too: told when there are some; what comes back ends it. */
export type EventNews = (listener: () => void) => Promise<() => Promise<void>>;

/** @param news Of a store that is not this server's alone: then all events are told as they stand there. */
export function createEvents(
  store: Pick<Store, "appendEvents" | "eventsAfter" | "lastEventNumber">,
  log: (entry: string) => void,
  news?: EventNews,
): Events {
  const listeners = new Set<{ readonly hear: (event: StoredEvent) => void; readonly end: () => void }>();
  const hearAll = (event: StoredEvent) => {
    for (const { hear } of listeners) hear(event);
  };
  const tail = news && tailEvents(store, news, hearAll, log);
  let waiting: NewEvent[] = [];
  let appending: Promise<void> | undefined;

  /** What comes while others are stored goes together; one group at a time, so that numbers are told in their order. */
  async function append(): Promise<void> {
    while (waiting.length > 0) {
      const group = waiting;
      waiting = [];
      try {
        const first = await store.appendEvents(group);
        if (!tail) for (const [i, event] of group.entries()) hearAll({ ...event, number: first + i });
      } catch (error) {
        const what = group.length === 1 ? "an event" : `${group.length} events`;
        log(`${what} could not be stored: ${error instanceof Error ? error.message : String(error)}`);
      }
    }
    appending = undefined;
  }

  return {
    publish(type, body) {
      waiting.push({ type, text: JSON.stringify(body) });
      appending ??= append();
      return appending;
    },
    async listen(lastNumber, listener) {
      // What happens while older events are read is in the store too and read from there: none has to wait in memory.
      let newest = 0;
      let isLive = false;
      let from = 0; // what is told as it comes may be behind what was read
      const hear = (event: StoredEvent) => {
        newest = event.number;
        if (isLive && event.number > from) listener.tell(event);
      };
      const entry = { hear, end: listener.end };
      listeners.add(entry);
      const stop = () => void listeners.delete(entry);
      try {
        await catchUp(store, lastNumber, listener, (told) => {
          from = told;
          isLive = told >= newest;
          return isLive;
        });
      } catch (error) {
        stop();
        throw error;
      }
      return stop;
    },
    async close() {
      for (const { end } of [...listeners]) end();
      listeners.clear();
      await appending;
      await (await tail)?.();
    },
  };
}

/**
 * Tells events of everybody in the order they stand in the store.
 *
 * @returns Ends it.
 */
async function tailEvents(
  store: Pick<Store, "eventsAfter" | "lastEventNumber">,
  news: EventNews,
  hear: (event: StoredEvent) => void,
  log: (entry: string) => void,
): Promise<() => Promise<void>> {
  let told = await store.lastEventNumber();
  let isReading = false;
  let isMore = false;
  async function read(): Promise<void> {
    isMore = true;
    if (isReading) return;
    isReading = true;
    try {
      while (isMore) {
        isMore = false;
        const events = await store.eventsAfter(told, TAILED);
        if (events === undefined) {
          told = await store.lastEventNumber();
          hear({ number: told, type: "snapshot", text: JSON.stringify({ because: MISSED }) });
        } else for (const event of events) hear(event);
        told = events?.at(-1)?.number ?? told;
        if (events?.length === TAILED) isMore = true;
      }
    } catch (error) {
      log(`events could not be read: ${error instanceof Error ? error.message : String(error)}`);
    }
    isReading = false;
  }
  return news(() => void read());
}

/**
 * Tells what the listener has missed, as fast as it takes it.
 *
 * @param goLive Has the listener told of all that comes from now on, unless more than `told` has been published by now;
 *   then it gives back `false`.
 */
async function catchUp(
  store: Pick<Store, "eventsAfter" | "lastEventNumber">,
  lastNumber: number | undefined,
  { tell, begin, room }: Listener,
  goLive: (told: number) => boolean,
): Promise<void> {
  let told = lastNumber;
  let hasAll = false;
  if (told === undefined) {
    told = await store.lastEventNumber();
    begin(told);
    hasAll = true;
  }
  while (await room()) {
    if (hasAll && goLive(told)) return;
    const events = await store.eventsAfter(told, TOGETHER);
    hasAll = events === undefined || events.length < TOGETHER;
    if (events === undefined) {
      told = await store.lastEventNumber();
      tell({ number: told, type: "snapshot", text: JSON.stringify({ because: MISSED }) });
    } else {
      for (const event of events) tell(event);
      told = events.at(-1)?.number ?? told;
    }
  }
}
