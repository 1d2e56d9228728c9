import type { HeardOn, StoredTelegram } from "../store.ts";
import { pgTime } from "./pgTime.ts";
import type { Sql, Value } from "./sql.ts";

/** A telegram as a row of its table. */
export interface TelegramRow {
  readonly id: string;
  readonly revision: number;
  readonly at: string;
  readonly receiver_id: string | null;
  readonly recording_hash: string | null;
  readonly identity: string | null;
  readonly record: string;
}

export const TELEGRAM_COLUMNS =
  "telegram.id, telegram.revision, telegram.at, receiver_id, recording_hash, identity, record";

export function telegramFrom(row: TelegramRow): StoredTelegram {
  const { id, revision, at, identity, record } = row;
  return { id, revision, at, on: heardOn(row), identity, telegram: JSON.parse(record) };
}

function heardOn({ receiver_id, recording_hash }: TelegramRow): HeardOn {
  // A rule of the table: one of the two is there.
  return receiver_id === null ? { recordingHash: recording_hash ?? "" } : { receiverId: receiver_id };
}

const GIVEN = `from unnest($1::text[], $2::integer[], $3::timestamptz[], $4::text[], $5::text[], $6::text[], $7::text[])
  as given (id, revision, at, receiver_id, recording_hash, identity, record)`;
const FILL = `insert into telegram (id, revision, at, receiver_id, recording_hash, identity, record)
  select id, revision, at, receiver_id, recording_hash, identity, record ${GIVEN}`;

/** Of an id that is taken it is refused. */
export async function addTelegrams(sql: Sql, telegrams: readonly StoredTelegram[]): Promise<void> {
  if (telegrams.length === 0) return;
  const values = columnsOf(telegrams);
  await sql.run(
    `with key as (insert into telegram_key (id, at, revision) select id, at, revision ${GIVEN}) ${FILL}`,
    values,
  );
}

/** One with a known id takes the place of the one before, unless that is newer. */
export async function putTelegrams(sql: Sql, telegrams: readonly StoredTelegram[]): Promise<void> {
  const all = newestOf(telegrams);
  if (all.length === 0) return;
  const fresh = await sql.all<{ id: string }>(
    `with fresh as (insert into telegram_key (id, at, revision) select id, at, revision ${GIVEN}
        on conflict (id) do nothing returning id),
      filled as (${FILL} where id in (select id from fresh))
      select id from fresh`,
    columnsOf(all),
  );
  if (fresh.length === all.length) return;
  const isFresh = new Set(fresh.map(({ id }) => id));
  const known = all.filter(({ id }) => !isFresh.has(id));
  const kept = await sql.all<{ id: string; revision: number }>(
    "select id, revision from telegram_key where id = any($1) order by id for update",
    [known.map(({ id }) => id)],
  );
  const revisions = new Map(kept.map(({ id, revision }) => [id, revision]));
  const replacing = known.filter(({ id, revision }) => revision >= (revisions.get(id) ?? 0));
  if (replacing.length === 0) return;
  const ids = replacing.map(({ id }) => id);
  await sql.run(
    `delete from telegram using telegram_key as key
      where key.id = any($1) and telegram.at = key.at and telegram.id = key.id`,
    [ids],
  );
  await sql.run(
    `update telegram_key set at = given.at, revision = given.revision
      from unnest($1::text[], $2::timestamptz[], $3::integer[]) as given (id, at, revision)
      where telegram_key.id = given.id`,
    [ids, replacing.map(({ at }) => pgTime(at)), replacing.map(({ revision }) => revision)],
  );
  await sql.run(FILL, columnsOf(replacing));
}

/** Takes away those of recordings. */
export async function removeTelegrams(sql: Sql, hashes: readonly string[]): Promise<void> {
  await sql.run(
    `with gone as (delete from telegram where recording_hash = any($1) returning id)
      delete from telegram_key where id in (select id from gone)`,
    [hashes],
  );
}

/** What would be left of each id; all processes take them in the order of their ids, so that none waits in a ring. */
function newestOf(telegrams: readonly StoredTelegram[]): StoredTelegram[] {
  const newest = new Map<string, StoredTelegram>();
  for (const telegram of telegrams) {
    if (telegram.revision >= (newest.get(telegram.id)?.revision ?? 0)) newest.set(telegram.id, telegram);
  }
  return [...newest.values()].toSorted((a, b) => (a.id < b.id ? -1 : 1));
}

function columnsOf(telegrams: readonly StoredTelegram[]): Value[] {
  return [
    telegrams.map(({ id }) => id),
    telegrams.map(({ revision }) => revision),
    telegrams.map(({ at }) => pgTime(at)),
    telegrams.map(({ on }) => ("receiverId" in on ? on.receiverId : null)),
    telegrams.map(({ on }) => ("recordingHash" in on ? on.recordingHash : null)),
    telegrams.map(({ identity }) => identity),
    telegrams.map(({ telegram }) => JSON.stringify(telegram)),
  ];
}
