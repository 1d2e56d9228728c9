import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { chance, uniform } from "../../seeds/noise.ts";
import { openConnection } from "../../server/store/connection.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import type { Store, TelegramQuery } from "../../server/store/store.ts";
import { telegramRecord } from "../support/store-data.ts";

const RECEIVERS = 8;
const IDENTITIES = 5000;
const FIRST_MS = Date.parse("2025-11-25T00:00:00Z");
const YEAR_MS = 365 * 24 * 3600_000;
const TOGETHER = 20_000;
const ASKED = 200;

/**
 * What pages ask of the telegrams, with a year of them stored: those of a job's visit, the last hour, one sensor's year.
 * Built twice, with a tenth and with all of them, so that growth can be told.
 *
 * @param options.draws Millions of telegrams; 10 by default, some 9 GB in the temporary folder.
 */
export default async function queries({
  seed,
  draws = 10,
}: {
  seed: number;
  draws: number | undefined;
}): Promise<void> {
  const few = await measured(draws / 10, seed);
  const all = await measured(draws, seed);
  for (const [name, p95] of all) {
    const growth = p95 / (few.get(name) ?? Number.NaN);
    console.log(`${name}: p95 ${p95.toFixed(1)} ms (reach 50), ${growth.toFixed(2)} times that of a tenth (reach 2)`);
  }
}

async function measured(millions: number, seed: number): Promise<Map<string, number>> {
  const folder = mkdtempSync(join(tmpdir(), "queries-"));
  const file = join(folder, "wheelgram.db");
  try {
    const count = Math.round(1e6 * millions);
    fill(file, count, seed);
    const store = await openSqliteStore(file);
    const noise = chance(seed, 1);
    const p95s = new Map<string, number>();
    for (const [name, query] of KINDS) {
      const tookMs: number[] = [];
      for (let i = 0; i < ASKED; i++)
        tookMs.push(
          await asked(
            store,
            query(() => uniform(noise)),
          ),
        );
      tookMs.sort((a, b) => a - b);
      p95s.set(name, tookMs[Math.floor(0.95 * ASKED)] ?? Number.NaN);
      console.log(`${millions} million, ${name}: p95 ${p95s.get(name)?.toFixed(1)} ms`);
    }
    await store.close();
    return p95s;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

type Kind = (random: () => number) => TelegramQuery;

const KINDS: readonly (readonly [string, Kind])[] = [
  [
    "a job's visit of two hours on one receiver",
    (random) => {
      const from = FIRST_MS + random() * (YEAR_MS - 7_200_000);
      const receiverId = `r${Math.floor(random() * RECEIVERS)}`;
      return { receiverId, from: time(from), to: time(from + 7_200_000), limit: 1000 };
    },
  ],
  ["the last hour", () => ({ from: time(FIRST_MS + YEAR_MS - 3_600_000), limit: 100 })],
  [
    "one sensor's year",
    (random) => ({ identity: identity(Math.floor(random() * IDENTITIES)), from: time(FIRST_MS), limit: 1000 }),
  ],
];

async function asked(store: Store, query: TelegramQuery): Promise<number> {
  const started = performance.now();
  await store.telegrams(query);
  return performance.now() - started;
}

/** Telegrams at even times over a year, of sensors and receivers by chance. Indices are made at the end, which is faster. */
function fill(file: string, count: number, seed: number): void {
  openConnection(file).db.close();
  const db = new Database(file);
  db.pragma("journal_mode = off");
  db.pragma("synchronous = off");
  const indices = db
    .prepare<[], { name: string; sql: string }>(
      "select name, sql from sqlite_schema where type = 'index' and tbl_name = 'telegram' and sql is not null",
    )
    .all();
  for (const { name } of indices) db.exec(`drop index ${name}`);
  const receiver = db.prepare("insert into receiver (id, name, kind, added_at) values (?, ?, 'tcp', '')");
  for (let i = 0; i < RECEIVERS; i++) receiver.run(`r${i}`, `receiver ${i}`);
  const insert = db.prepare(
    "insert into telegram (id, revision, at, receiver_id, identity, record) values (?, 1, ?, ?, ?, ?)",
  );
  const record = JSON.stringify(telegramRecord());
  const noise = chance(seed);
  const some = db.transaction((from: number, to: number) => {
    for (let i = from; i < to; i++) {
      const at = time(FIRST_MS + (i / count) * YEAR_MS);
      const sensor = identity(Math.floor(uniform(noise) * IDENTITIES));
      insert.run(`t${i}`, at, `r${Math.floor(uniform(noise) * RECEIVERS)}`, sensor, record);
    }
  });
  for (let from = 0; from < count; from += TOGETHER) some(from, Math.min(count, from + TOGETHER));
  for (const { sql } of indices) db.exec(sql);
  db.close();
}

function identity(n: number): string {
  return (0x3a000000 + n).toString(16);
}

function time(ms: number): string {
  return `${new Date(ms).toISOString().slice(0, 23)}000Z`;
}
