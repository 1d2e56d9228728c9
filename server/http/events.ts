import type { EventType, Store, StoredEvent } from "../store/store.ts";

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

export function createEvents(
  store: Pick<Store, "appendEvent" | "eventsAfter" | "lastEventNumber">,
  log: (entry: string) => void,
): Events {
  const listeners = new Set<{ readonly hear: (event: StoredEvent) => void; readonly end: () => void }>();
  // One at a time, so that numbers are told in their order.
  let last: Promise<void> = Promise.resolve();

  async function append(type: EventType, body: unknown): Promise<void> {
    try {
      const event = await store.appendEvent(type, body);
      for (const { hear } of listeners) hear(event);
    } catch (error) {
      log(`an event could not be stored: ${error instanceof Error ? error.message : String(error)}`);
    }
  }

  return {
    publish(type, body) {
      last = last.then(() => append(type, body));
      return last;
    },
    async listen(lastNumber, listener) {
      // What happens while older events are read is in the store too and read from there: none has to wait in memory.
      let newest = 0;
      let isLive = false;
      const hear = (event: StoredEvent) => {
        newest = event.number;
        if (isLive) listener.tell(event);
      };
      const entry = { hear, end: listener.end };
      listeners.add(entry);
      const stop = () => void listeners.delete(entry);
      try {
        await catchUp(store, lastNumber, listener, (told) => {
          isLive = told >= newest;
          return isLive;
        });
      } catch (error) {
        stop();
        throw error;
      }
      return stop;
    },
    close() {
      for (const { end } of [...listeners]) end();
      listeners.clear();
      return last;
    },
  };
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
      const because = "What was missed is no longer kept: ask for everything anew.";
      tell({ number: told, type: "snapshot", body: { because } });
    } else {
      for (const event of events) tell(event);
      told = events.at(-1)?.number ?? told;
    }
  }
}
