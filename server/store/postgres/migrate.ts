import { StoreError } from "../storeError.ts";
import { MIGRATIONS } from "./migrations.ts";
import type { Queryable } from "./sql.ts";

/** First half of the numbers of our advisory locks. */
export const LOCKS = { steps: 0x57484700, partitions: 0x57484701, claims: 0x57484702 } as const;

const OLDEST = 15;

/** @throws StoreError for a server that cannot hold a store. */
export async function checkServer(client: Queryable, address: string): Promise<void> {
  const text =
    "select current_setting('server_version_num')::int as version, current_setting('server_encoding') as coding";
  const { rows } = await client.query<{ version: number; coding: string }>({ text, values: [] });
  const { version = 0, coding = "" } = rows[0] ?? {};
  if (version < OLDEST * 10_000) {
    const because = `PostgreSQL ${Math.floor(version / 10_000)}, which is older than ${OLDEST}`;
    throw new StoreError("unreachable", address, because, `Bring the server up to PostgreSQL ${OLDEST} or later.`);
  }
  if (coding !== "UTF8") {
    const because = `a database with the encoding ${coding}, which cannot hold every text`;
    throw new StoreError("foreign", address, because, "Make one with createdb --encoding UTF8 --template template0.");
  }
}

/**
 * Brings a database up to date, each step in a transaction of its own. Processes that come at once wait for each other.
 *
 * @throws StoreError `foreign`, `newer` or `damaged`, before anything is touched.
 */
export async function migrate(
  client: Queryable,
  address: string,
  steps: readonly string[] = MIGRATIONS,
): Promise<void> {
  for (;;) {
    const isDone = await inTransaction(client, async () => {
      await locked(client, LOCKS.steps);
      const version = await versionOf(client, address);
      if (version > steps.length) throw newer(address, version, steps.length);
      const step = steps[version];
      if (step === undefined) return true;
      await client.query({ text: step, values: [] });
      await client.query({ text: `update wheelgram_store set version = ${version + 1}`, values: [] });
      return false;
    });
    if (isDone) return;
  }
}

/** How many steps it has behind it; 0 for one with nothing in it. */
async function versionOf(client: Queryable, address: string): Promise<number> {
  const { rows: found } = await client.query<{ is_ours: boolean; others: number }>({ text: WHAT_IS_THERE, values: [] });
  const { is_ours = false, others = 0 } = found[0] ?? {};
  if (!is_ours) {
    if (others === 0) return 0;
    const because = "a database with tables of another program, not a store of Wheelgram";
    throw new StoreError("foreign", address, because, "Make a database of its own with createdb; nothing was changed.");
  }
  const { rows } = await client.query<{ version: number }>({ text: "select version from wheelgram_store", values: [] });
  const version = rows[0]?.version;
  if (version !== undefined && rows.length === 1) return version;
  const wayOut = "Put back a backup of the database, or name another database with --store.";
  throw new StoreError("damaged", address, "damaged, its version is not told", wayOut);
}

// What extensions brought along is nobody's.
const WHAT_IS_THERE = `select to_regclass('wheelgram_store') is not null as is_ours,
  (select count(*)::int from pg_class
    where relnamespace = current_schema()::regnamespace and relkind in ('r', 'p', 'v', 'm', 'f', 'S')
      and not exists (select 1 from pg_depend where objid = pg_class.oid and deptype = 'e')) as others`;

function newer(address: string, version: number, known: number): StoreError {
  const because = `made by version ${version} of the store, this is version ${known}`;
  const wayOut = "Start the newer Wheelgram on it, or name another database with --store; nothing was changed.";
  return new StoreError("newer", address, because, wayOut);
}

/** Until the end of the transaction; whoever else wants it waits. */
export async function locked(client: Queryable, lock: number): Promise<void> {
  await client.query({ text: "select pg_advisory_xact_lock($1, 0)", values: [lock] });
}

export async function inTransaction<T>(client: Queryable, work: () => Promise<T>): Promise<T> {
  await client.query({ text: "begin", values: [] });
  try {
    const value = await work();
    await client.query({ text: "commit", values: [] });
    return value;
  } catch (error) {
    await client.query({ text: "rollback", values: [] }).catch(() => undefined); // it ends with its connection then
    throw error;
  }
}
