import { Client } from "pg";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openPostgresStore, type PostgresStore } from "../../server/store/postgres/postgres.ts";
import { noFleet } from "../support/fleet.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";
import { type Relay, startRelay } from "../support/relay.ts";
import { line, receiver } from "../support/store-data.ts";

describe.skipIf(noFleet)("claims in a PostgreSQL store", () => {
  let server: Postgres;
  let address = "";
  let one: PostgresStore;
  let two: PostgresStore;
  beforeAll(async () => {
    server = await startPostgres();
  });
  afterAll(async () => {
    await server?.close();
  });
  beforeEach(async () => {
    address = await server.database();
    one = await openPostgresStore(address);
    two = await openPostgresStore(address);
    await one.addReceiver(receiver("r1"));
  });
  afterEach(async () => {
    await Promise.all([one.close(), two.close()]);
  });

  it("are had by one at a time, until it gives them back or goes", async () => {
    const [mine, yours] = [await one.claims(), await two.claims()];
    expect([await mine.tryClaim(7), await mine.tryClaim(7), await mine.tryClaim(8)]).toEqual([true, true, true]);
    expect([await yours.tryClaim(7), await yours.tryClaim(9)]).toEqual([false, true]);
    expect([[...mine.held()], [...yours.held()]]).toEqual([[7, 8], [9]]);
    await mine.release(7);
    await mine.release(9); // not its own: changes nothing
    expect([await yours.tryClaim(7), await mine.tryClaim(9)]).toEqual([true, false]);
    await mine.close();
    await mine.lost;
    expect(mine.held().size).toBe(0);
    expect(await yours.tryClaim(8)).toBe(true);
  });

  it("let lines be kept on their connection, each once as ever", async () => {
    const claims = await one.claims();
    expect(await claims.keepLines("r1", [line(1), line(2)])).toEqual([true, true]);
    expect(await two.keepLines("r1", [line(2), line(3)])).toEqual([false, true]);
    await claims.setSetting("position 7", "3");
    expect(await two.setting("position 7")).toBe("3");
    await expect(claims.keepLines("r9", [line(1)])).rejects.toThrow(RangeError);
    expect(await claims.keepLines("r1", [line(4)])).toEqual([true]);
  });

  it("are lost with their connection, and then nothing more is kept through them", async () => {
    const [mine, yours] = [await one.claims(), await two.claims()];
    await mine.tryClaim(7);
    const admin = new Client({ connectionString: address });
    await admin.connect();
    await admin.query("select pg_terminate_backend(pid) from pg_locks where locktype = 'advisory' and granted");
    await admin.end();
    await mine.lost;
    expect(mine.held().size).toBe(0);
    await expect(mine.keepLines("r1", [line(1)])).rejects.toMatchObject({ code: "closed" });
    await expect(mine.tryClaim(8)).rejects.toMatchObject({ code: "closed" });
    expect(await yours.tryClaim(7)).toBe(true);
    expect(await two.lineCount("r1")).toBe(0);
    await mine.close();
  });

  describe("of somebody who is cut off", () => {
    let relay: Relay;
    beforeEach(async () => {
      relay = await startRelay(server.port);
    });
    afterEach(async () => {
      await relay.close();
    });

    it("go to another within seconds, and what it wrote meanwhile is not kept", async () => {
      const far = await openPostgresStore(address.replace(`:${server.port}`, `:${relay.port}`));
      const [mine, yours] = [await far.claims(), await one.claims()];
      await mine.tryClaim(7);
      await mine.keepLines("r1", [line(1)]);
      const from = performance.now();
      relay.cut();
      const late = mine.keepLines("r1", [line(2)]).then(
        () => "kept",
        (error: unknown) => error,
      );
      await expect.poll(() => yours.tryClaim(7), { interval: 100 }).toBe(true);
      const claimedMs = performance.now() - from;
      await mine.lost;
      const lostMs = performance.now() - from;
      expect(await late).toMatchObject({ code: "closed" });
      expect(await one.linesOf("r1", "b1", 0, 9)).toEqual([line(1)]);
      expect(claimedMs).toBeLessThan(12_000);
      expect(lostMs).toBeLessThan(12_000);
      await relay.close();
      await far.close();
    });
  });
});
