import { connect, type NatsConnection } from "nats";
import { Client } from "pg";
import { createLineKeeper } from "../../server/fleet/lineKeeper.ts";
import { LINES, openStreams } from "../../server/fleet/streams.ts";
import type { StoredLine } from "../../server/store/store.ts";
import { type FleetYard, startYard } from "../support/fleet-yard.ts";
import { burstLines } from "./burstLines.ts";
import { send } from "./ingestLoad.ts";

const RECEIVERS = 8;
const LINES_EACH = 2500;
/** On their way to the server and not yet acknowledged, of each receiver. */
const WINDOW = 2000;
const SINGLES = 4000;
const SINGLE_RECEIVERS = 50;

/**
 * Lines of bursts through a fleet, kept on three NATS servers: how many are acknowledged, stored and decoded in a second,
 * and what one takes up.
 */
export async function fleetLines({ seed }: { seed: number }): Promise<void> {
  const yard = await startYard({ receiverCount: RECEIVERS, workerCount: 1, threads: 1, durable: true });
  const nats = await connect({ servers: yard.nats.address.slice("nats://".length).split(",") });
  try {
    const [server] = yard.servers;
    const [worker] = yard.workers;
    if (!server || !worker) throw new Error("nobody is there");
    await worker.kill("SIGTERM");
    const lines = Array.from({ length: RECEIVERS }, (_, i) => burstLines(LINES_EACH, 100 * seed + i));
    const total = RECEIVERS * LINES_EACH;
    const textBytes = lines.flat().reduce((sum, line) => sum + line.length, 0) / total;
    const before = await streamBytes(nats);
    const began = performance.now();
    await Promise.all(server.receivers.map(({ port }, i) => send(port, lines[i] ?? [], { window: WINDOW })));
    const ackedS = (performance.now() - began) / 1000;
    const after = await streamBytes(nats);
    console.log(
      `acknowledged, kept on 3 servers, ${RECEIVERS} receivers pouring: ${(total / ackedS).toFixed(0)} lines/s`,
    );
    console.log(
      `a line has ${textBytes.toFixed(0)} bytes of text; in JetStream ${((after.bytes - before.bytes) / total).toFixed(0)} on each server, ${(total / (after.messages - before.messages)).toFixed(0)} lines a message`,
    );
    await singles(yard, nats);
    await storing(yard, total);
  } finally {
    await nats.close();
    await yard.close();
  }
}

/** As receivers that say something now and then: a message a line. */
async function singles(yard: FleetYard, nats: NatsConnection): Promise<void> {
  const ending = new AbortController();
  const streams = await openStreams(nats, { say: () => undefined });
  if (!streams) throw new Error("no streams");
  const { store } = yard;
  const keeper = createLineKeeper({ connection: nats, streams, store, say: console.log, signal: ending.signal });
  const [text = ""] = burstLines(1, 0);
  const before = await streamBytes(nats);
  const began = performance.now();
  await Promise.all(
    Array.from({ length: SINGLE_RECEIVERS }, async (_, receiver) => {
      for (let sequence = 1; sequence <= SINGLES / SINGLE_RECEIVERS; sequence++) {
        const line: StoredLine = { boot: '["b1","bench"]', sequence, receivedAt: "2026-11-25T09:00:00.000000Z", text };
        await keeper.keepLines(`bench${receiver}`, [line]);
      }
    }),
  );
  const seconds = (performance.now() - began) / 1000;
  const after = await streamBytes(nats);
  console.log(
    `a line a message, ${SINGLE_RECEIVERS} receivers at once: ${(SINGLES / seconds).toFixed(0)} lines/s, ${((after.bytes - before.bytes) / SINGLES).toFixed(0)} bytes a line of ${text.length}`,
  );
  for (let i = 0; i < SINGLE_RECEIVERS; i++) {
    await streams.manager.streams.purge(LINES, { filter: `wheelgram.lines.*.bench${i}` });
  }
}

/** One worker takes what has waited. */
async function storing(yard: FleetYard, total: number): Promise<void> {
  const { store } = yard;
  const ids = yard.servers.flatMap(({ receivers }) => receivers.map(({ id }) => id));
  const sum = async (count: (id: string) => Promise<number>) =>
    (await Promise.all(ids.map(count))).reduce((a, b) => a + b, 0);
  const [worker] = yard.workers;
  const startedMs = performance.now();
  await worker?.start();
  let firstMs = 0;
  let storedMs = 0;
  for (;;) {
    const stored = await sum((id) => store.lineCount(id));
    const now = performance.now();
    if (stored > 0 && firstMs === 0) firstMs = now;
    if (stored >= total && storedMs === 0) storedMs = now;
    if (storedMs > 0 && (await sum(async (id) => (await store.heardCounts(id)).bursts)) >= total) break;
    if (now - startedMs > 300_000) throw new Error(`after 300 s ${stored} of ${total} lines are stored`);
    await new Promise((resume) => setTimeout(resume, 50));
  }
  const decodedS = (performance.now() - firstMs) / 1000;
  console.log(
    `stored by one worker: ${(total / ((storedMs - firstMs) / 1000)).toFixed(0)} lines/s, decoding beside it`,
  );
  console.log(`decoded and stored by one worker of one thread: ${(total / decodedS).toFixed(0)} lines/s`);
  const client = new Client({ connectionString: yard.storeAddress });
  await client.connect();
  const { rows } = await client.query<{ name: string; bytes: string; count: string }>(`
    select 'line' as name, pg_total_relation_size('line') as bytes, (select count(*) from line) as count
    union all select 'burst', pg_total_relation_size('heard_burst'), (select count(*) from heard_burst)
    union all select 'telegram', (select sum(pg_total_relation_size(relid)) from pg_partition_tree('telegram')),
      (select count(*) from telegram)`);
  await client.end();
  for (const { name, bytes, count } of rows) {
    console.log(`PostgreSQL, a ${name}: ${(Number(bytes) / Math.max(1, Number(count))).toFixed(0)} bytes of ${count}`);
  }
}

async function streamBytes(nats: NatsConnection): Promise<{ readonly bytes: number; readonly messages: number }> {
  const { state } = await (await nats.jetstreamManager()).streams.info(LINES);
  return { bytes: state.bytes, messages: state.messages };
}
