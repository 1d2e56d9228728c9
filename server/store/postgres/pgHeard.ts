import type { Page, Store, StoredBurst, StoredTelegram, TelegramQuery } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { putTelegrams, TELEGRAM_COLUMNS, type TelegramRow, telegramFrom } from "./pgTelegrams.ts";
import { pgTime } from "./pgTime.ts";
import type { Sql, Value } from "./sql.ts";

type HeardRows = Pick<Store, "keepHeard" | "burstsBetween" | "unreadHeard" | "telegrams" | "telegram" | "heardCounts">;

/** What was decoded: bursts heard live, and the telegrams of receivers and recordings alike. */
export function heardRows({ read, write }: Connection): HeardRows {
  return {
    keepHeard: async (bursts, telegrams) =>
      write(
        async (sql) => {
          await putBursts(sql, bursts);
          await putTelegrams(sql, telegrams);
        },
        { times: telegrams.map(({ at }) => timeText(at)) },
      ),
    burstsBetween: (receiverId, from, to, limit) =>
      read(async (sql) => {
        const rows = await sql.all<BurstRow>(
          `select id, at, receiver_id, record from heard_burst
            where receiver_id = $1 and at >= $2 and at < $3 order by at desc, id desc limit $4`,
          [receiverId, pgTime(from), pgTime(to), limit],
        );
        return rows.toReversed().map(burstFrom);
      }),
    unreadHeard: (receiverId, from, to, limit) =>
      read(async (sql) => {
        const rows = await sql.all<BurstRow>(
          `select id, at, receiver_id, record from heard_burst
            where unread and receiver_id = $1 and at >= $2 and at < $3 order by at, id limit $4`,
          [receiverId, pgTime(from), pgTime(to), limit],
        );
        return rows.map(burstFrom);
      }),
    telegrams: (query) =>
      read(async (sql) => {
        const { where, values } = conditions(query);
        const way = query.oldestFirst ? "asc" : "desc";
        const rows = await sql.all<TelegramRow>(
          `select ${TELEGRAM_COLUMNS} from telegram ${where} order by at ${way}, id ${way} limit ${query.limit + 1}`,
          values,
        );
        return page(rows, query.limit);
      }),
    telegram: (id) =>
      read(async (sql) => {
        const row = await sql.one<TelegramRow>(
          `select ${TELEGRAM_COLUMNS} from telegram_key as key
            join telegram on telegram.at = key.at and telegram.id = key.id where key.id = $1`,
          [id],
        );
        return row && telegramFrom(row);
      }),
    heardCounts: (id) =>
      read(async (sql) => {
        const row = await sql.one<{ bursts: number; telegrams: number; quarantined: number }>(
          `select (select count(*) from heard_burst where receiver_id = $1) as bursts,
            (select count(*) from telegram where receiver_id = $1) as telegrams,
            (select count(*) from quarantined where receiver_id = $1) as quarantined`,
          [id],
        );
        return row ?? { bursts: 0, telegrams: 0, quarantined: 0 };
      }),
  };
}

async function putBursts(sql: Sql, given: readonly StoredBurst[]): Promise<void> {
  if (given.length === 0) return;
  const last = new Map(given.map((burst) => [burst.id, burst])); // of one id the last one stays
  const bursts = [...last.values()].toSorted((a, b) => (a.id < b.id ? -1 : 1));
  await sql.run(
    `insert into heard_burst (id, at, receiver_id, unread, record)
      select * from unnest($1::text[], $2::timestamptz[], $3::text[], $4::boolean[], $5::text[])
      on conflict (id) do update set at = excluded.at, receiver_id = excluded.receiver_id, unread = excluded.unread,
        record = excluded.record`,
    [
      bursts.map(({ id }) => id),
      bursts.map(({ at }) => pgTime(at)),
      bursts.map(receiverOf),
      bursts.map(({ burst }) => burst.outcome !== "telegram" && burst.outcome !== "repeat"),
      bursts.map(({ burst }) => JSON.stringify(burst)),
    ],
  );
}

function receiverOf({ id, on }: StoredBurst): string {
  if (!("receiverId" in on)) throw new RangeError(`burst ${id} was not heard live; those of recordings go with them`);
  return on.receiverId;
}

/** One row more than asked for tells that there is another page. */
function page(rows: readonly TelegramRow[], limit: number): Page<StoredTelegram> {
  const items = rows.slice(0, limit).map(telegramFrom);
  const last = items.at(-1);
  return { items, next: rows.length > limit && last ? `${last.at}~${last.id}` : undefined };
}

function conditions(query: TelegramQuery): { readonly where: string; readonly values: readonly Value[] } {
  if (!Number.isInteger(query.limit) || query.limit < 1)
    throw new RangeError(`limit must be 1 or more: ${query.limit}`);
  const parts: string[] = [];
  const values: string[] = [];
  const place = (value: string) => `$${values.push(value)}`;
  if (query.from !== undefined) parts.push(`at >= ${place(pgTime(query.from))}`);
  if (query.to !== undefined) parts.push(`at < ${place(pgTime(query.to))}`);
  if (query.identity !== undefined) parts.push(`identity = ${place(query.identity)}`);
  if (query.receiverId !== undefined) parts.push(`receiver_id = ${place(query.receiverId)}`);
  if (query.cursor !== undefined) {
    const [at, id] = cursorParts(query.cursor);
    const than = query.oldestFirst ? ">" : "<";
    const time = place(pgTime(at));
    // The first half alone tells which partitions are over already.
    parts.push(`at ${than}= ${time}`, `(at, id) ${than} (${time}, ${place(id)})`);
  }
  return { where: parts.length === 0 ? "" : `where ${parts.join(" and ")}`, values };
}

/** `TIME~ID`, so that a page stays where it is while telegrams come in. */
function cursorParts(cursor: string): [string, string] {
  const at = cursor.indexOf("~");
  if (at < 0) throw new RangeError(`not a cursor of ours: ${JSON.stringify(cursor)}`);
  return [cursor.slice(0, at), cursor.slice(at + 1)];
}

interface BurstRow {
  readonly id: string;
  readonly at: string;
  readonly receiver_id: string;
  readonly record: string;
}

function burstFrom({ id, at, receiver_id, record }: BurstRow): StoredBurst {
  return { id, at, on: { receiverId: receiver_id }, burst: JSON.parse(record) };
}
