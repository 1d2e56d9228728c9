import type { HistoryKind, Store } from "../store.ts";
import type { Connection } from "./connection.ts";
import { pgTime } from "./pgTime.ts";
import type { Value } from "./sql.ts";

type HistoryRows = Pick<Store, "usedBytes" | "historyRows" | "countHistory" | "forgetHistory" | "historyTimeAt">;

/**
 * What receivers said long ago, in stretches of rows, so that nobody waits long. Whatever was heard while somebody
 * listened on a job's visit stays with the job; and of every start of a receiver its last line stays, so that it is known
 * where it goes on.
 */
export function historyRows({ read, write }: Connection): HistoryRows {
  return {
    usedBytes: () => read(async (sql) => (await sql.one<{ used: number }>(USED))?.used ?? 0),
    historyRows: (kind) =>
      read(async (sql) => {
        const text = `select min(number) as first, max(number) as last from ${of(kind).numbered}`;
        const { first, last } = (await sql.one<Ends>(text)) ?? { first: null, last: null };
        return first === null || last === null ? undefined : { from: first, to: last + 1 };
      }),
    countHistory: (kind, before, { from, to }) =>
      read(async (sql) => {
        const values = [pgTime(before), from, to];
        return (await sql.one<{ count: number }>(`select count(*) as count from ${of(kind).old}`, values))?.count ?? 0;
      }),
    forgetHistory: (kind, before, { from, to }) =>
      write(async (sql) => {
        const values: Value[] = [pgTime(before), from, to];
        const count = await sql.run(of(kind).forget, values);
        // What goes is told to the statistics at once, by which `usedBytes` reckons.
        await sql.run("select pg_stat_force_next_flush()");
        return count;
      }),
    historyTimeAt: (share) =>
      read(async (sql) => {
        const count = (await sql.one<{ count: number }>("select count(*) as count from line"))?.count ?? 0;
        if (count === 0) return undefined;
        const text = `select received_at as at from line
          where number = (select number from line order by number limit 1 offset $1)`;
        return (await sql.one<{ at: string }>(text, [Math.min(count - 1, Math.round(share * count))]))?.at;
      }),
  };
}

interface Ends {
  readonly first: number | null;
  readonly last: number | null;
}

// A visit that nobody ended ends by itself within a day, so older ones need not be looked at.
const outsideVisits = (time: string) => `not exists (select 1 from run join job on job.id = run.job_id
  where run.started_at <= ${time} and run.started_at > ${time} - interval '1 day'
    and ${time} <= coalesce(run.ended_at, 'infinity'))`;

const oldRows = (table: string, time: string, more: string) =>
  `${table} where number >= $2 and number < $3 and ${time} < $1 ${more}`;

interface Kind {
  /** The table whose numbers its rows have. */
  readonly numbered: string;
  readonly old: string;
  readonly forget: string;
}

const plain = (table: string, time: string, more: string): Kind => {
  const old = oldRows(table, time, more);
  return { numbered: table, old, forget: `delete from ${old}` };
};

const OLD_TELEGRAMS = `telegram_key as key join telegram on telegram.at = key.at and telegram.id = key.id
  where number >= $2 and number < $3 and key.at < $1 and receiver_id is not null and ${outsideVisits("key.at")}`;

const KINDS: Readonly<Record<HistoryKind, Kind>> = {
  lines: plain(
    "line",
    "received_at",
    `and ${outsideVisits("line.received_at")} and exists (select 1 from line as later
      where later.receiver_id = line.receiver_id and later.boot = line.boot and later.sequence > line.sequence)`,
  ),
  bursts: plain("heard_burst", "at", `and ${outsideVisits("heard_burst.at")}`),
  telegrams: {
    numbered: "telegram_key",
    old: OLD_TELEGRAMS,
    forget: `with old as materialized (select key.at, key.id from ${OLD_TELEGRAMS}),
      gone as (delete from telegram using old where telegram.at = old.at and telegram.id = old.id)
      delete from telegram_key using old where telegram_key.id = old.id`,
  },
  aside: plain("quarantined", "at", ""),
};

function of(kind: HistoryKind): Kind {
  const found: Kind | undefined = KINDS[kind];
  if (!found) throw new RangeError(`no history of ${kind}`);
  return found;
}

/**
 * What is deleted stays room in the files until something else fills it, so the size of the files would not tell that
 * anything went: of each big table only the share counts that its living rows take, by what the server's statistics say
 * of their number and width. One without statistics counts whole.
 */
const USED = `
  with big as (
    select relation.oid, pg_relation_size(relation.oid) as heap, pg_total_relation_size(relation.oid) as total,
      (select n_live_tup from pg_stat_user_tables where relid = relation.oid) as living,
      (select sum(avg_width) from pg_stats where schemaname = current_schema() and tablename = relation.relname) as width
    from pg_class as relation
    where relnamespace = current_schema()::regnamespace and relkind = 'r'
      and (relname in ('line', 'heard_burst', 'quarantined', 'telegram_key') or relname like 'telegram\\_%')
  )
  select (pg_database_size(current_database()) - coalesce(sum(total * (1 - least(1,
    living * (coalesce(width, 1e9) + 28) / greatest(heap, 1)))), 0))::bigint as used
  from big`;
