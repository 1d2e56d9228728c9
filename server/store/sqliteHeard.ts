import type { Connection } from "./connection.ts";
import { type TelegramRow, telegramFrom, telegramRow } from "./sqliteTelegramRow.ts";
import type { Page, Store, StoredBurst, StoredTelegram, TelegramQuery } from "./store.ts";
import { timeText } from "./timeText.ts";

type HeardRows = Pick<Store, "keepHeard" | "burstsBetween" | "unreadHeard" | "telegrams" | "telegram" | "heardCounts">;

/** What was decoded: bursts heard live, and the telegrams of receivers and recordings alike. */
export function heardRows({ db, read, write }: Connection): HeardRows {
  const addBurst = db.prepare<BurstRow>("insert or replace into heard_burst values (@id, @at, @receiver_id, @record)");
  const addTelegram = db.prepare<TelegramRow>(
    `insert into telegram values (@id, @revision, @at, @receiver_id, @recording_hash, @identity, @record)
      on conflict (id) do update set revision = excluded.revision, at = excluded.at,
        receiver_id = excluded.receiver_id, recording_hash = excluded.recording_hash, identity = excluded.identity,
        record = excluded.record
      where excluded.revision >= telegram.revision`,
  );
  const bursts = db.prepare<[string, string, string, number], BurstRow>(
    "select * from heard_burst where receiver_id = ? and at >= ? and at < ? order by at desc, id desc limit ?",
  );
  const unread = db.prepare<[string, string, string, number], BurstRow>(
    `select * from heard_burst where receiver_id = ? and at >= ? and at < ?
      and json_extract(record, '$.outcome') not in ('telegram', 'repeat') order by at, id limit ?`,
  );
  const one = db.prepare<[string], TelegramRow>("select * from telegram where id = ?");
  const counts = db.prepare<{ readonly id: string }, { bursts: number; telegrams: number; quarantined: number }>(
    `select (select count(*) from heard_burst where receiver_id = @id) as bursts,
      (select count(*) from telegram where receiver_id = @id) as telegrams,
      (select count(*) from quarantined where receiver_id = @id) as quarantined`,
  );

  return {
    keepHeard: (heard, telegrams) =>
      write(() => {
        for (const burst of heard) addBurst.run(burstRow(burst));
        for (const telegram of telegrams) addTelegram.run(telegramRow(telegram));
      }),
    burstsBetween: (receiverId, from, to, limit) =>
      read(() => bursts.all(receiverId, timeText(from), timeText(to), limit).reverse().map(burstFrom)),
    unreadHeard: (receiverId, from, to, limit) =>
      read(() => unread.all(receiverId, timeText(from), timeText(to), limit).map(burstFrom)),
    telegrams: (query) =>
      read(() => {
        const { where, values } = conditions(query);
        const way = query.oldestFirst ? "asc" : "desc";
        const select = `select * from telegram ${where} order by at ${way}, id ${way} limit ?`;
        const rows = db.prepare<(string | number)[], TelegramRow>(select).all(...values, query.limit + 1);
        return page(rows, query.limit);
      }),
    telegram: (id) =>
      read(() => {
        const row = one.get(id);
        return row && telegramFrom(row);
      }),
    heardCounts: (id) => read(() => counts.get({ id }) ?? { bursts: 0, telegrams: 0, quarantined: 0 }),
  };
}

/** One row more than asked for tells that there is another page. */
function page(rows: readonly TelegramRow[], limit: number): Page<StoredTelegram> {
  const items = rows.slice(0, limit).map(telegramFrom);
  const last = items.at(-1);
  return { items, next: rows.length > limit && last ? `${last.at}~${last.id}` : undefined };
}

function conditions(query: TelegramQuery): { readonly where: string; readonly values: readonly string[] } {
  if (!Number.isInteger(query.limit) || query.limit < 1)
    throw new RangeError(`limit must be 1 or more: ${query.limit}`);
  const parts: string[] = [];
  const values: string[] = [];
  const and = (part: string, ...of: string[]) => {
    parts.push(part);
    values.push(...of);
  };
  if (query.from !== undefined) and("at >= ?", timeText(query.from));
  if (query.to !== undefined) and("at < ?", timeText(query.to));
  if (query.identity !== undefined) and("identity = ?", query.identity);
  if (query.receiverId !== undefined) and("receiver_id = ?", query.receiverId);
  if (query.cursor !== undefined) and(`(at, id) ${query.oldestFirst ? ">" : "<"} (?, ?)`, ...cursorParts(query.cursor));
  return { where: parts.length === 0 ? "" : `where ${parts.join(" and ")}`, values };
}

/** `TIME~ID`, so that a page stays where it is while telegrams come in. */
function cursorParts(cursor: string): [string, string] {
  const at = cursor.indexOf("~");
  if (at < 0) throw new RangeError(`not a cursor of ours: ${JSON.stringify(cursor)}`);
  return [timeText(cursor.slice(0, at)), cursor.slice(at + 1)];
}

interface BurstRow {
  readonly id: string;
  readonly at: string;
  readonly receiver_id: string;
  readonly record: string;
}

function burstRow({ id, at, on, burst }: StoredBurst): BurstRow {
  if (!("receiverId" in on)) throw new RangeError(`burst ${id} was not heard live; those of recordings go with them`);
  return { id, at: timeText(at), receiver_id: on.receiverId, record: JSON.stringify(burst) };
}

function burstFrom({ id, at, receiver_id, record }: BurstRow): StoredBurst {
  return { id, at, on: { receiverId: receiver_id }, burst: JSON.parse(record) };
}
