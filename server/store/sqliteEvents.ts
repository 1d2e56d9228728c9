import type { Connection } from "./connection.ts";
import type { EventType, Store, StoredEvent } from "./store.ts";

type EventRows = Pick<Store, "appendEvents" | "eventsAfter" | "lastEventNumber">;

/** How many events a page may be behind and still catch up. */
const KEPT_EVENTS = 10_000;

/** Events for the pages: the newest, numbered. */
export function eventRows({ db, read, write }: Connection): EventRows {
  const add = db.prepare<[EventType, string]>("insert into event (type, body) values (?, ?)");
  const forget = db.prepare<[number]>("delete from event where number <= ?");
  const after = db.prepare<[number, number], EventRow>("select * from event where number > ? order by number limit ?");
  const oldest = db.prepare<[], number | null>("select min(number) from event").pluck();
  const last = db.prepare<[], number>("select seq from sqlite_sequence where name = 'event'").pluck();

  return {
    appendEvents: (events) =>
      write(() => {
        const numbers = events.map(({ type, text }) => Number(add.run(type, text).lastInsertRowid));
        const [first] = numbers;
        if (first === undefined) throw new RangeError("no events to be numbered");
        forget.run(first + events.length - 1 - KEPT_EVENTS);
        return first;
      }),
    eventsAfter: (number, limit) =>
      read(() => {
        const newest = last.get() ?? 0;
        const first = oldest.get() ?? newest + 1;
        // A number that was never given out comes from another store: what it saw is not what is here.
        return number + 1 < first || number > newest ? undefined : after.all(number, limit).map(eventFrom);
      }),
    lastEventNumber: () => read(() => last.get() ?? 0),
  };
}

interface EventRow {
  readonly number: number;
  readonly type: EventType;
  readonly body: string;
}

function eventFrom({ number, type, body }: EventRow): StoredEvent {
  return { number, type, text: body };
}
