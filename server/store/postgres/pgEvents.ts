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
          // Whoever has the row of the count commits before the next one numbers, so nobody sees a number before a
          // lower one.
          const row = await sql.one<{ first: number }>(
            `with counted as (
                update event_count set last = last + $1, gone = greatest(gone, last + $1 - ${KEPT_EVENTS}) returning *
              ), added as (
                insert into event (number, type, body) select last - $1 + place, type, body
                  from counted, unnest($2::text[], $3::text[]) with ordinality as given (type, body, place)
              ), forgotten as (
                delete from event using counted where number <= gone
              )
              select last - $1 + 1 as first, pg_notify('${EVENT_CHANNEL}', last::text) from counted`,
            [events.length, events.map(({ type }) => type), events.map(({ text }) => text)],
          );
          return row?.first ?? 0;
        },
        { isLast: true, isOneStatement: true },
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
