import type { RemovedJob, StoredJob, Written } from "../store.ts";
import type { Connection } from "./connection.ts";
import { pgTime } from "./pgTime.ts";
import type { Sql } from "./sql.ts";

// Jobs and lots are cards of one shape, each with a bin.

const CARD_COLUMNS = "id, revision, created_at, changed_at, sample, body, removed_at";

interface CardRow {
  readonly id: string;
  readonly revision: number;
  readonly created_at: string;
  readonly changed_at: string;
  readonly sample: boolean;
  readonly body: string;
  readonly removed_at: string | null;
}

function cardFrom({ id, revision, created_at, changed_at, sample, body }: CardRow): StoredJob {
  return { id, revision, createdAt: created_at, changedAt: changed_at, sample, body: JSON.parse(body) };
}

/** What is done alike with a job and with a lot. */
export function cardRows({ read, write }: Connection, table: "job" | "lot") {
  return {
    add: ({ id, revision, createdAt, changedAt, sample, body }: StoredJob): Promise<void> =>
      write(async (sql) => {
        await sql.run(`insert into ${table} (${CARD_COLUMNS}) values ($1, $2, $3, $4, $5, $6, null)`, [
          id,
          revision,
          pgTime(createdAt),
          pgTime(changedAt),
          sample,
          jsonOf(body),
        ]);
      }),
    all: (): Promise<readonly StoredJob[]> =>
      read(async (sql) => {
        const text = `select ${CARD_COLUMNS} from ${table} where removed_at is null order by created_at desc, id`;
        return (await sql.all<CardRow>(text)).map(cardFrom);
      }),
    one: (id: string): Promise<StoredJob | undefined> =>
      read(async (sql) => {
        const text = `select ${CARD_COLUMNS} from ${table} where id = $1 and removed_at is null`;
        const row = await sql.one<CardRow>(text, [id]);
        return row && cardFrom(row);
      }),
    remove: (id: string, revision: number, removedAt: string): Promise<Written<StoredJob>> =>
      write(async (sql) =>
        ifCurrent(await heldCard(sql, table, id), revision, async (current) => {
          await sql.run(`update ${table} set removed_at = $1 where id = $2`, [pgTime(removedAt), id]);
          return current;
        }),
      ),
    removed: (): Promise<readonly RemovedJob[]> =>
      read(async (sql) => {
        const text = `select ${CARD_COLUMNS} from ${table} where removed_at is not null order by removed_at desc, id`;
        const rows = await sql.all<CardRow & { readonly removed_at: string }>(text);
        return rows.map((row) => ({ ...cardFrom(row), removedAt: row.removed_at }));
      }),
    restore: (id: string): Promise<boolean> =>
      write(
        async (sql) =>
          (await sql.run(`update ${table} set removed_at = null where id = $1 and removed_at is not null`, [id])) === 1,
      ),
  };
}

/** Does `work` on a thing if it still is the revision that the caller saw; nobody else changes it meanwhile. */
export async function ifCurrent<T extends { readonly revision: number }>(
  held: T | undefined,
  revision: number,
  work: (current: T) => Promise<T>,
): Promise<Written<T>> {
  if (held === undefined) return { ok: false, error: "missing" };
  if (held.revision !== revision) return { ok: false, error: "stale", current: held };
  return { ok: true, value: await work(held) };
}

/** A card that is not in the bin, until the end of the transaction. */
export async function heldCard(sql: Sql, table: "job" | "lot", id: string): Promise<StoredJob | undefined> {
  const text = `select ${CARD_COLUMNS} from ${table} where id = $1 and removed_at is null for no key update`;
  const row = await sql.one<CardRow>(text, [id]);
  return row && cardFrom(row);
}

/** @throws RangeError for a value that JSON has no text for: a caller's bug. */
export function jsonOf(body: unknown): string {
  const text: string | undefined = JSON.stringify(body);
  if (text === undefined) throw new RangeError(`a body that is no JSON value: ${typeof body}`);
  return text;
}
