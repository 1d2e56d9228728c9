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
}

/** Events read from the store at a time. */
const TOGETHER = 500;

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
    async listen(lastNumber, { tell, begin, end }) {
      // What comes while older events are read has to wait its turn.
      let waiting: StoredEvent[] | undefined = [];
      let told = 0;
      const hear = (event: StoredEvent) => {
        if (waiting) waiting.push(event);
        else tell(event);
      };
      const listener = { hear, end };
      listeners.add(listener);
      try {
        told = await catchUp(store, lastNumber, { tell, begin, end });
      } catch (error) {
        listeners.delete(listener);
        throw error;
      }
      for (const event of waiting) if (event.number > told) tell(event);
      waiting = undefined;
      return () => void listeners.delete(listener);
    },
    close() {
      for (const { end } of [...listeners]) end();
      listeners.clear();
      return last;
    },
  };
}

/** @returns The number of the newest event that the listener now knows of. */
async function catchUp(
  store: Pick<Store, "eventsAfter" | "lastEventNumber">,
  lastNumber: number | undefined,
  { tell, begin }: Listener,
): Promise<number> {
  if (lastNumber === undefined) {
    const number = await store.lastEventNumber();
    begin(number);
    return number;
  }
  let told = lastNumber;
  for (;;) {
    const events = await store.eventsAfter(told, TOGETHER);
    if (events === undefined) {
      const number = await store.lastEventNumber();
      tell({
        number,
        type: "snapshot",
        body: { because: "What was missed is no longer kept: ask for everything anew." },
      });
      return number;
    }
    for (const event of events) tell(event);
    told = events.at(-1)?.number ?? told;
    if (events.length < TOGETHER) return told;
  }
}
