import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openPostgresStore, type PostgresStore } from "../../server/store/postgres/postgres.ts";
import type { NewEvent } from "../../server/store/store.ts";
import { noFleet } from "../support/fleet.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";

describe.skipIf(noFleet)("events in a PostgreSQL store", () => {
  let server: Postgres;
  let one: PostgresStore;
  let two: PostgresStore;
  beforeAll(async () => {
    server = await startPostgres();
  });
  afterAll(async () => {
    await server?.close();
  });
  beforeEach(async () => {
    const address = await server.database();
    one = await openPostgresStore(address);
    two = await openPostgresStore(address);
  });
  afterEach(async () => {
    await Promise.all([one.close(), two.close()]);
  });
  const event = (text: string): NewEvent => ({ type: "burst", text });

  it("of several processes are told to each of them, and to nobody who has stopped listening", async () => {
    let heard = 0;
    const stop = await one.onEvents(() => heard++);
    await two.appendEvents([event("1"), event("2")]);
    await expect.poll(() => heard).toBe(1);
    await one.appendEvents([event("3")]);
    await expect.poll(() => heard).toBe(2);
    await stop();
    await two.appendEvents([event("4")]);
    expect((await one.eventsAfter(0, 9))?.map(({ text }) => text)).toEqual(["1", "2", "3", "4"]);
    expect(heard).toBe(2);
  });

  it("have numbers without a hole, and nobody sees one before a lower one", async () => {
    const seen: number[] = [];
    let isOver = false;
    const reading = (async () => {
      while (!isOver || seen.length < 400) {
        const more = await one.eventsAfter(seen.at(-1) ?? 0, 99);
        seen.push(...(more ?? []).map(({ number }) => number));
      }
    })();
    const appended = Array.from({ length: 200 }, (_, i) =>
      (i % 2 ? one : two).appendEvents([event(`${i} a`), event(`${i} b`)]),
    );
    const refused = expect(one.appendEvents([])).rejects.toThrow(RangeError);
    await Promise.all(appended);
    await refused;
    isOver = true;
    await reading;
    expect(seen).toEqual(Array.from({ length: 400 }, (_, i) => i + 1));
  });

  it("are told again after the server was away", async () => {
    let heard = 0;
    await one.onEvents(() => heard++);
    await server.kill();
    await server.start();
    await expect.poll(() => heard).toBeGreaterThan(0);
    const before = heard;
    await two.appendEvents([event("1")]);
    await expect.poll(() => heard).toBeGreaterThan(before);
  });
});
