import type { EventType, Store, StoredEvent } from "../store.ts";
import type { Connection } from "./connection.ts";

type EventRows = Pick<Store, "appendEvents" | "eventsAfter" | "lastEventNumber">;

/** How many events a page may be behind and still catch up. */
const KEPT_EVENTS = 10_000;

/** Where it is told that there are new events. */
export const EVENT_CHANNEL = "wheelgram_events";

/** Events for the pages: the newest, numbered. */
export function eventRows({ read, write }: Connection): EventRows {
  return {
    appendEvents: (events) =>
      write(
        async (sql) => {
          if (events.length === 0) throw new RangeError("no events to be numbered");
          // Whoever has this row numbers and commits before the next does, so nobody sees a number before a lower one.
          const row = await sql.one<{ last: number }>(
            `update event_count set last = last + $1, gone = greatest(gone, last + $1 - ${KEPT_EVENTS}) returning last`,
            [events.length],
          );
          const last = row?.last ?? 0;
          const first = last - events.length + 1;
          await sql.run(
            `insert into event (number, type, body)
              select $1 + place - 1, type, body
              from unnest($2::text[], $3::text[]) with ordinality as given (type, body, place)`,
            [first, events.map(({ type }) => type), events.map(({ text }) => text)],
          );
          await sql.run("delete from event where number <= $1", [last - KEPT_EVENTS]);
          await sql.run("select pg_notify($1, $2)", [EVENT_CHANNEL, String(last)]);
          return first;
        },
        { isLast: true },
      ),
    eventsAfter: (number, limit) =>
      read(async (sql) => {
        // In one statement: meanwhile others are forgotten.
        const rows = await sql.all<EventRow>(
          `select last, gone, number, type, body from event_count left join lateral
            (select * from event where number > $1 order by number limit $2) as event on true order by number`,
          [number, limit],
        );
        const { last = 0, gone = 0 } = rows[0] ?? {};
        // A number that was never given out comes from another store: what it saw is not what is here.
        if (number < gone || number > last) return undefined;
        return rows.flatMap(eventFrom);
      }),
    lastEventNumber: () =>
      read(async (sql) => (await sql.one<{ last: number }>("select last from event_count"))?.last ?? 0),
  };
}

interface EventRow {
  readonly last: number;
  readonly gone: number;
  readonly number: number | null;
  readonly type: EventType;
  readonly body: string;
}

function eventFrom({ number, type, body }: EventRow): StoredEvent[] {
  return number === null ? [] : [{ number, type, text: body }];
}
