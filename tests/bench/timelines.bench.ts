import { createHash } from "node:crypto";
import { once } from "node:events";
import { Client } from "pg";
import { from as copyFrom } from "pg-copy-streams";
import { chance, uniform } from "../../seeds/noise.ts";
import { openPostgresStore, type PostgresStore } from "../../server/store/postgres/postgres.ts";
import type { TelegramQuery } from "../../server/store/store.ts";
import { startPostgres } from "../support/postgres.ts";
import { receiver, telegram, telegramRecord } from "../support/store-data.ts";

const RECEIVERS = 50;
const IDENTITIES = 5000;
const FIRST_MS = Date.parse("2025-11-25T00:00:00Z");
const DAY_MS = 24 * 3600_000;
const YEAR_MS = 365 * DAY_MS;
const OLDEST_FIRST = { oldestFirst: true, limit: 100 } as const;
const ASKED = 200;
/** Rows handed over at once. */
const TOGETHER = 2000;

/**
 * The time-lines of the pages over a year of telegrams of 50 receivers in the PostgreSQL store, with a tenth of them and
 * with all, so that growth can be told. Filled by COPY.
 *
 * @param options.draws Millions of telegrams; 20 by default, some 30 GB in the temporary folder.
 */
export default async function timelines({
  seed,
  draws = 20,
}: {
  seed: number;
  draws: number | undefined;
}): Promise<void> {
  const few = await measured(draws / 10, seed);
  const all = await measured(draws, seed);
  for (const [name, p95] of all) {
    const growth = p95 / (few.get(name) ?? Number.NaN);
    console.log(`${name}: p95 ${p95.toFixed(1)} ms (reach 200), ${growth.toFixed(2)} times that of a tenth`);
  }
}

async function measured(millions: number, seed: number): Promise<Map<string, number>> {
  const server = await startPostgres();
  try {
    const address = await server.database();
    const store = await openPostgresStore(address);
    await prepared(store);
    const count = Math.round(1e6 * millions);
    await filled(address, count, seed);
    const p95s = new Map<string, number>();
    for (const [name, ask] of KINDS) {
      const noise = chance(seed, 1);
      const tookMs: number[] = [];
      for (let i = 0; i < ASKED; i++) tookMs.push(...(await ask(store, () => uniform(noise))));
      tookMs.sort((a, b) => a - b);
      const share = (part: number) => tookMs[Math.floor(part * tookMs.length)] ?? Number.NaN;
      p95s.set(name, share(0.95));
      const said = [0.5, 0.95, 0.99].map((part) => `p${100 * part} ${share(part).toFixed(1)} ms`);
      console.log(`${millions} million, ${name}: ${said.join(", ")} of ${tookMs.length}`);
    }
    await store.close();
    return p95s;
  } finally {
    await server.close();
  }
}

/** Asks once, or page after page; how long each took. */
type Ask = (store: PostgresStore, random: () => number) => Promise<number[]>;

const KINDS: readonly (readonly [string, Ask])[] = [
  ["the newest 100 of all", pages(1, () => ({ limit: 100 }))],
  ["the newest 100 of a receiver", pages(1, (random) => ({ receiverId: receiverOf(random()), limit: 100 }))],
  ["a sensor's newest 100", pages(1, (random) => ({ identity: identity(random()), limit: 100 }))],
  ["a sensor in a day", pages(1, (random) => ({ identity: identity(random()), ...span(random, DAY_MS), limit: 1000 }))],
  ["a sensor on one receiver", pages(1, (random) => ({ ...heardOn(random), limit: 100 }))],
  ["a sensor never heard", pages(1, () => ({ identity: "ffffffff", limit: 100 }))],
  [
    "two hours of a receiver",
    pages(1, (random) => ({ receiverId: receiverOf(random()), ...span(random, DAY_MS / 12), limit: 1000 })),
  ],
  ["a day of all, page by page, oldest first", pages(5, (random) => ({ ...span(random, DAY_MS), ...OLDEST_FIRST }))],
  ["back from a moment, page by page", pages(5, (random) => ({ to: span(random, DAY_MS).to, limit: 100 }))],
  ["a receiver from its first on", pages(5, (random) => ({ receiverId: receiverOf(random()), ...OLDEST_FIRST }))],
];

function pages(count: number, query: (random: () => number) => TelegramQuery): Ask {
  return async (store, random) => {
    const tookMs: number[] = [];
    let asked = query(random);
    for (let i = 0; i < count; i++) {
      const started = performance.now();
      const { next } = await store.telegrams(asked);
      tookMs.push(performance.now() - started);
      if (next === undefined) break;
      asked = { ...asked, cursor: next };
    }
    return tookMs;
  };
}

async function prepared(store: PostgresStore): Promise<void> {
  for (let i = 0; i < RECEIVERS; i++) await store.addReceiver(receiver(`r${i}`));
  // The first of each month makes its partition.
  const months = Array.from({ length: 13 }, (_, i) => new Date(Date.UTC(2025, 10 + i, 25)).toISOString());
  await store.keepHeard(
    [],
    months.map((at, i) => telegram(`first ${i}`, { at, on: { receiverId: "r0" } })),
  );
}

/** Telegrams at even times over a year, of sensors and receivers by chance, with the indices that are there. */
async function filled(address: string, count: number, seed: number): Promise<void> {
  const client = new Client({ connectionString: address });
  await client.connect();
  await client.query("set session_replication_role = replica"); // no look at the receiver for each row
  const started = performance.now();
  await copied(client, "telegram_key (id, at, revision)", count, (i) => `${idOf(i)}\t${momentOf(i, count)}\t1\n`);
  const keyedS = (performance.now() - started) / 1000;
  const noise = chance(seed);
  await copied(client, "telegram (id, revision, at, receiver_id, identity, record)", count, (i) => {
    const [who, where] = [uniform(noise), uniform(noise)];
    const record = recordOf(i, who, noise);
    return `${idOf(i)}\t1\t${momentOf(i, count)}\t${receiverOf(where)}\t${identity(who)}\t${record}\n`;
  });
  const copiedS = (performance.now() - started) / 1000;
  await client.query("vacuum analyze");
  const { rows } = await client.query<{ table: string; indices: string; key: string; used: string }>(
    `select sum(pg_table_size(oid)) as table, sum(pg_indexes_size(oid)) as indices,
        pg_total_relation_size('telegram_key') as key
      from pg_class where relname like 'telegram\\_%' and relkind = 'r' and relname <> 'telegram_key'`,
  );
  const { table = "", indices = "", key = "" } = rows[0] ?? {};
  const bytes = [table, indices, key].map((one) => Math.round(Number(one) / count));
  console.log(
    `${count / 1e6} million: ${Math.round(count / copiedS)} rows/s copied, keys first in ${keyedS.toFixed(0)} s`,
  );
  console.log(`  bytes a row: ${bytes[0]} of the table, ${bytes[1]} of its indices, ${bytes[2]} of the keys`);
  await client.end();
}

async function copied(client: Client, into: string, count: number, row: (i: number) => string): Promise<void> {
  const stream = client.query(copyFrom(`copy ${into} from stdin`));
  for (let i = 0; i < count; ) {
    const end = Math.min(count, i + TOGETHER);
    let text = "";
    for (; i < end; i++) text += row(i);
    if (!stream.write(text)) await once(stream, "drain");
  }
  stream.end();
  await once(stream, "finish");
}

/** As ids are: a hash, so that their order is not that of time. */
function idOf(i: number): string {
  return `${createHash("sha256").update(String(i)).digest("hex").slice(0, 24)}-0`;
}

/** Some 700 bytes, no two alike. */
function recordOf(i: number, who: number, noise: ReturnType<typeof chance>): string {
  const sensor = identity(who);
  const field = (raw: number, unit: string) => ({ raw, value: raw / 4, unit, plausible: true });
  return JSON.stringify(
    telegramRecord({
      file: `receiver ${i % RECEIVERS}`,
      burst: i,
      atSeconds: i / 7,
      carrierHz: 433.92e6 + Math.round(20e3 * (uniform(noise) - 0.5)),
      bits: `${sensor}${Math.floor(2 ** 40 * uniform(noise)).toString(16)}`,
      bitCount: 72,
      snrDb: Math.round(300 * uniform(noise)) / 10,
      fields: {
        sensor: { raw: Number.parseInt(sensor, 16), value: sensor, unit: null, plausible: true },
        pressure: field(Math.round(900 * uniform(noise)), "kPa"),
        temperature: field(Math.round(300 * uniform(noise)), "°C"),
        acceleration: field(Math.round(2000 * uniform(noise)), "m/s²"),
        battery: field(Math.round(12 * uniform(noise)), "V"),
      },
    }),
  );
}

const receiverOf = (share: number) => `r${Math.floor(share * RECEIVERS)}`;
const identity = (share: number) => (0x3a000000 + Math.floor(share * IDENTITIES)).toString(16);
const momentOf = (i: number, count: number) => time(FIRST_MS + (i / count) * YEAR_MS);

function heardOn(random: () => number) {
  return { identity: identity(random()), receiverId: receiverOf(random()) };
}

function span(random: () => number, lengthMs: number) {
  const fromMs = FIRST_MS + random() * (YEAR_MS - lengthMs);
  return { from: time(fromMs), to: time(fromMs + lengthMs) };
}

function time(ms: number): string {
  return `${new Date(ms).toISOString().slice(0, 23)}000Z`;
}
