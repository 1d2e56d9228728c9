import { describe, expect, it } from "vitest";
import { createEvents } from "../../server/http/events.ts";
import type { EventType, StoredEvent } from "../../server/store/store.ts";

/**
 * Events in memory; reading them waits until it is let through, so that others can be published meanwhile.
 *
 * @param readsLate Whether what is published meanwhile is read too.
 */
function slowStore(readsLate = false) {
  const kept: StoredEvent[] = [];
  const gates: (() => void)[] = [];
  return {
    kept,
    open: () => gates.shift()?.(),
    store: {
      async appendEvent(type: EventType, body: unknown): Promise<StoredEvent> {
        const event = { number: kept.length + 1, type, body };
        kept.push(event);
        return event;
      },
      async eventsAfter(number: number, limit: number): Promise<readonly StoredEvent[]> {
        const found = () => kept.filter((event) => event.number > number).slice(0, limit);
        const early = found();
        await new Promise<void>((resume) => gates.push(resume));
        return readsLate ? found() : early;
      },
      lastEventNumber: async () => kept.length,
    },
  };
}

describe("a listener that comes back", () => {
  it("is told what is published while older events are read, once and in order", async () => {
    for (const readsLate of [false, true]) {
      const { store, open } = slowStore(readsLate);
      const events = createEvents(store, () => undefined);
      for (let i = 0; i < 3; i++) await events.publish("job", i);
      const told: number[] = [];
      const tell = (event: StoredEvent) => void told.push(event.number);
      const listening = events.listen(1, { tell, begin: () => undefined, end: () => undefined });
      await events.publish("job", 3);
      open();
      await listening;
      await events.publish("job", 4);
      expect(told).toEqual([2, 3, 4, 5]);
    }
  });

  it("is told of more than is read at a time", async () => {
    const { store, open } = slowStore();
    const events = createEvents(store, () => undefined);
    for (let i = 0; i < 1203; i++) await events.publish("job", i);
    const told: number[] = [];
    const tell = (event: StoredEvent) => void told.push(event.number);
    const opening = setInterval(open, 1);
    await events.listen(0, { tell, begin: () => undefined, end: () => undefined });
    clearInterval(opening);
    expect(told).toEqual(Array.from({ length: 1203 }, (_, i) => i + 1));
  });
});

describe("publishing", () => {
  it("keeps its order, whatever the store takes for each", async () => {
    const numbers: number[] = [];
    let waitMs = 20;
    const store = {
      async appendEvent(type: EventType, body: unknown) {
        await new Promise((resume) => setTimeout(resume, waitMs));
        waitMs = 0;
        numbers.push(Number(body));
        return { number: numbers.length, type, body };
      },
      eventsAfter: async () => [],
      lastEventNumber: async () => 0,
    };
    const events = createEvents(store, () => undefined);
    const told: unknown[] = [];
    await events.listen(undefined, {
      tell: ({ body }) => told.push(body),
      begin: () => undefined,
      end: () => undefined,
    });
    await Promise.all([1, 2, 3].map((n) => events.publish("job", n)));
    expect([numbers, told]).toEqual([
      [1, 2, 3],
      [1, 2, 3],
    ]);
  });

  it("goes on after an event that could not be stored, and says so", async () => {
    const logged: string[] = [];
    let fails = true;
    const store = {
      async appendEvent(type: EventType, body: unknown) {
        if (fails) throw new Error("the disk is full");
        return { number: 1, type, body };
      },
      eventsAfter: async () => [],
      lastEventNumber: async () => 0,
    };
    const events = createEvents(store, (entry) => void logged.push(entry));
    await events.publish("job", 1);
    fails = false;
    const told: unknown[] = [];
    await events.listen(undefined, {
      tell: ({ body }) => told.push(body),
      begin: () => undefined,
      end: () => undefined,
    });
    await events.publish("job", 2);
    expect([logged, told]).toEqual([["an event could not be stored: the disk is full"], [2]]);
  });
});

it("closing ends every listener, and settles when all that was published is stored", async () => {
  const { store, kept } = slowStore();
  const events = createEvents(store, () => undefined);
  let ended = 0;
  for (let i = 0; i < 3; i++) {
    await events.listen(undefined, { tell: () => undefined, begin: () => undefined, end: () => void ended++ });
  }
  void events.publish("job", 1);
  const closing = events.close();
  expect(ended).toBe(3);
  await closing;
  expect(kept).toHaveLength(1);
});
