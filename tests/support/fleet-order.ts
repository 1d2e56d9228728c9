import type { HubEvent } from "../../server/receivers/hub.ts";
import type { PostgresStore } from "../../server/store/postgres/postgres.ts";

/** Hears what the pages would, and looks at its order. */
export interface OrderListener {
  /** Each in words. */
  readonly faults: () => readonly string[];
  readonly stop: () => Promise<void>;
}

const TOGETHER = 1000;

/**
 * A burst may be told of again after a worker has died, but what is told for the first time comes in the order of the
 * receiver's lines, and a telegram after a burst of its own.
 */
export async function listenInOrder(store: PostgresStore): Promise<OrderListener> {
  const faults: string[] = [];
  const told = new Map<string, { readonly all: Set<number>; highest: number }>();
  let last = await store.lastEventNumber();
  let reading: Promise<void> = Promise.resolve();

  async function read(): Promise<void> {
    for (;;) {
      const events = await store.eventsAfter(last, TOGETHER);
      if (events === undefined) {
        faults.push("events went before they could be heard");
        last = await store.lastEventNumber();
        return;
      }
      for (const { number, type, text } of events) {
        if (number !== last + 1) faults.push(`event ${number} stands behind ${last}`);
        last = number;
        if (type === "burst" || type === "telegram") hear({ type, body: JSON.parse(text) });
      }
      if (events.length < TOGETHER) return;
    }
  }

  function hear(event: HubEvent): void {
    if (event.type === "receiver") return;
    const receiver = event.body.receiverId;
    const of = told.get(receiver) ?? { all: new Set<number>(), highest: 0 };
    told.set(receiver, of);
    if (event.type === "telegram") {
      const { burst } = event.body.telegram;
      if (!of.all.has(burst)) faults.push(`receiver ${receiver}: a telegram of burst ${burst} came before it`);
      return;
    }
    const { index } = event.body.burst;
    if (of.all.has(index)) return;
    if (index < of.highest) faults.push(`receiver ${receiver}: burst ${index} was told behind ${of.highest}`);
    of.all.add(index);
    of.highest = Math.max(of.highest, index);
  }

  const end = await store.onEvents(() => {
    reading = reading.then(read).catch((error: unknown) => void faults.push(String(error)));
  });
  return {
    faults: () => faults.slice(0, 10),
    async stop() {
      await end();
      await reading;
    },
  };
}
