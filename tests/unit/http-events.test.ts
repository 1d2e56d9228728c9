import { describe, expect, it, vi } from "vitest";
import { createEvents } from "../../server/http/events.ts";
import type { NewEvent, StoredEvent } from "../../server/store/store.ts";

const quiet = { begin: () => undefined, end: () => undefined, room: async () => true };

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
      async appendEvents(events: readonly NewEvent[]): Promise<number> {
        const first = kept.length + 1;
        kept.push(...events.map((event, i) => ({ ...event, number: first + i })));
        return first;
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
      const listening = events.listen(1, { ...quiet, tell });
      await events.publish("job", 3);
      const opening = setInterval(open, 1);
      await listening;
      clearInterval(opening);
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
    await events.listen(0, { ...quiet, tell });
    clearInterval(opening);
    expect(told).toEqual(Array.from({ length: 1203 }, (_, i) => i + 1));
  });

  it("is told no faster than it takes it, and nothing waits for it in memory", async () => {
    const { store, open, kept } = slowStore();
    const events = createEvents(store, () => undefined);
    for (let i = 0; i < 1000; i++) await events.publish("job", i);
    const told: number[] = [];
    const rooms: ((isThere: boolean) => void)[] = [];
    const opening = setInterval(open, 1);
    const listening = events.listen(0, {
      ...quiet,
      tell: ({ number }) => void told.push(number),
      room: () => new Promise((resume) => rooms.push(resume)),
    });
    for (let times = 0; times < 3; times++) {
      await vi.waitFor(() => expect(rooms).toHaveLength(1));
      if (times < 2) rooms.shift()?.(true);
    }
    const early = told.length;
    expect([early > 0, early < 500]).toEqual([true, true]);
    await events.publish("job", 1000);
    expect(told).toHaveLength(early); // it has to be asked for, in its turn
    const taking = setInterval(() => rooms.shift()?.(true), 1);
    await listening;
    clearInterval(opening);
    clearInterval(taking);
    expect(told).toEqual(Array.from({ length: kept.length }, (_, i) => i + 1));
  });

  it("is told no more once it has gone", async () => {
    const { store } = slowStore();
    const events = createEvents(store, () => undefined);
    for (let i = 0; i < 3; i++) await events.publish("job", i);
    const told: number[] = [];
    await events.listen(0, { ...quiet, tell: ({ number }) => void told.push(number), room: async () => false });
    await events.publish("job", 3);
    expect(told).toEqual([]);
  });
});

describe("publishing", () => {
  it("keeps its order, whatever the store takes for each", async () => {
    const numbers: number[] = [];
    const groups: number[] = [];
    let waitMs = 20;
    const store = {
      async appendEvents(events: readonly NewEvent[]) {
        await new Promise((resume) => setTimeout(resume, waitMs));
        waitMs = 0;
        groups.push(events.length);
        const first = numbers.length + 1;
        numbers.push(...events.map(({ text }) => Number(text)));
        return first;
      },
      eventsAfter: async () => [],
      lastEventNumber: async () => 0,
    };
    const events = createEvents(store, () => undefined);
    const told: unknown[] = [];
    await events.listen(undefined, {
      ...quiet,
      tell: ({ text }) => told.push(JSON.parse(text)),
    });
    await Promise.all([1, 2, 3].map((n) => events.publish("job", n)));
    expect([numbers, told]).toEqual([
      [1, 2, 3],
      [1, 2, 3],
    ]);
    expect(groups).toEqual([1, 2]); // what came while the first was stored went together
  });

  it("goes on after an event that could not be stored, and says so", async () => {
    const logged: string[] = [];
    let fails = true;
    const store = {
      async appendEvents() {
        if (fails) throw new Error("the disk is full");
        return 1;
      },
      eventsAfter: async () => [],
      lastEventNumber: async () => 0,
    };
    const events = createEvents(store, (entry) => void logged.push(entry));
    await events.publish("job", 1);
    fails = false;
    const told: unknown[] = [];
    await events.listen(undefined, {
      ...quiet,
      tell: ({ text }) => told.push(JSON.parse(text)),
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
    await events.listen(undefined, { ...quiet, tell: () => undefined, end: () => void ended++ });
  }
  void events.publish("job", 1);
  const closing = events.close();
  expect(ended).toBe(3);
  await closing;
  expect(kept).toHaveLength(1);
});
