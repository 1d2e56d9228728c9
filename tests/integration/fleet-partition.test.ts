import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { connect, type NatsConnection } from "nats";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { createLineKeeper } from "../../server/fleet/lineKeeper.ts";
import { type RunningPartition, runPartition } from "../../server/fleet/partition.ts";
import { partitionOf } from "../../server/fleet/partitions.ts";
import { type FleetStreams, openStreams } from "../../server/fleet/streams.ts";
import { bootKey } from "../../server/receivers/boot.ts";
import { createStamps } from "../../server/receivers/stamps.ts";
import type { Claims } from "../../server/store/postgres/claims.ts";
import { openPostgresStore, type PostgresStore } from "../../server/store/postgres/postgres.ts";
import { createPool, type Pool } from "../../server/work/pool.ts";
import { analysedTelegrams, said } from "../support/analysed.ts";
import { noFleet } from "../support/fleet.ts";
import { yardLine } from "../support/fleet-senders.ts";
import { temporaryFolder } from "../support/folder.ts";
import { telegramsOf } from "../support/hub-bench.ts";
import { type Nats, startNats } from "../support/nats.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";

const RECEIVER = "gate1";
const hello = { type: "hello", receiver: "gate", protocol: 1, boot: "b1" };
const boot = bootKey({ receiver: "gate", boot: "b1" });
const COUNT = 106; // two rounds of the yard

/** Threads that take lines and never answer. */
const stuck: Pick<Pool, "lines"> = {
  lines: () => ({
    push: () => new Promise(() => undefined),
    quiet: () => new Promise(() => undefined),
    close: () => undefined,
  }),
};

describe.skipIf(noFleet)("a partition that changes hands", () => {
  let nats: Nats;
  let postgres: Postgres;
  let store: PostgresStore;
  let connection: NatsConnection;
  let streams: FleetStreams;
  const pool = createPool(1);
  const stamp = createStamps(Date.now);
  beforeAll(async () => {
    nats = await startNats(1);
    postgres = await startPostgres();
    store = await openPostgresStore(await postgres.database());
    connection = await connect({ servers: nats.address.slice("nats://".length) });
    const made = await openStreams(connection, { say: () => undefined });
    if (!made) throw new Error("no streams");
    streams = made;
  }, 240_000);
  afterAll(async () => {
    await pool.stop();
    await connection.close();
    await store.close();
    await nats.close();
    await postgres.close();
  });

  const take = (claims: Claims, threads: Pick<Pool, "lines">): Promise<RunningPartition> =>
    runPartition({
      partition: partitionOf(RECEIVER),
      streams,
      claims,
      store,
      pool: threads,
      layouts: () => builtinLayouts,
      nameOf: (id) => id,
      stamp,
      say: () => undefined,
      onFailed: () => undefined,
      counted: () => undefined,
    });

  it("is decoded by the next worker from where the one before had come, though more was stored", async () => {
    const signal = new AbortController().signal;
    const keeper = createLineKeeper({ connection, streams, store, say: () => undefined, signal });
    const lines = Array.from({ length: COUNT }, (_, i) => yardLine(i + 1, 0));
    const keep = (from: number, to: number) =>
      keeper.keepLines(
        RECEIVER,
        lines.slice(from, to).map((text, i) => ({ boot, sequence: from + i + 1, receivedAt: stamp(), text })),
      );
    await keep(0, 30);
    const dying = await store.claims();
    const first = await take(dying, stuck);
    await expect.poll(() => store.lineCount(RECEIVER), { timeout: 60_000 }).toBe(30);
    await keep(30, 60);
    await expect.poll(() => store.lineCount(RECEIVER), { timeout: 60_000 }).toBe(60);
    first.abandon();
    await dying.close();
    expect(await telegramsOf(store, RECEIVER)).toEqual([]);

    await keep(60, COUNT);
    const living = await store.claims();
    const second = await take(living, pool);
    const file = join(temporaryFolder("partition"), "lines.ndjson");
    writeFileSync(file, `${[JSON.stringify(hello), ...lines].join("\n")}\n`);
    const expected = said(await analysedTelegrams(file));
    await expect
      .poll(async () => said(await telegramsOf(store, RECEIVER)), { timeout: 100_000, interval: 500 })
      .toEqual(expected);
    expect((await store.linesOf(RECEIVER, boot, 0, 1000)).map(({ text }) => text)).toEqual(lines);
    await second.stop();
    await living.close();
  });

  it("can be written by nobody who has lost it", async () => {
    const lost = await store.claims();
    await lost.close();
    const one = { receiverId: RECEIVER, lines: [{ boot, sequence: 999, receivedAt: stamp(), text: "{}" }] };
    await expect(lost.keepGroups([one], { name: "x", text: "y" })).rejects.toThrow("the claims are lost");
    expect(await store.lastSequence(RECEIVER, boot)).toBe(COUNT);
    expect(await store.setting("x")).toBeUndefined();
  });
});
