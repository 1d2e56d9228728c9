import type { StoredJob, Written } from "../store.ts";
import type { Sql } from "./sql.ts";

// Jobs and lots are cards of one shape, each with a bin.

export const CARD_COLUMNS = "id, revision, created_at, changed_at, sample, body, removed_at";

export interface CardRow {
  readonly id: string;
  readonly revision: number;
  readonly created_at: string;
  readonly changed_at: string;
  readonly sample: boolean;
  readonly body: string;
  readonly removed_at: string | null;
}

export function cardFrom({ id, revision, created_at, changed_at, sample, body }: CardRow): StoredJob {
  return { id, revision, createdAt: created_at, changedAt: changed_at, sample, body: JSON.parse(body) };
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
