import type { Connection } from "./connection.ts";
import type { HistoryKind, Store } from "./store.ts";
import { timeText } from "./timeText.ts";

type HistoryRows = Pick<Store, "usedBytes" | "historyRows" | "countHistory" | "forgetHistory" | "historyTimeAt">;

/**
 * What receivers said long ago, in stretches of rows, so that nobody waits long. Whatever was heard while somebody
 * listened on a job's visit stays with the job; and of every start of a receiver its last line stays, so that it is known
 * where it goes on.
 */
export function historyRows({ db, read, write }: Connection): HistoryRows {
  const pragma = (name: string) => Number(db.pragma(name, { simple: true }));
  // A visit that nobody ended ends by itself within a day, so older ones need not be looked at.
  const outsideVisits = (time: string) => `not exists (select 1 from run join job on job.id = run.job_id
    where run.started_at <= ${time} and run.started_at > strftime('%Y-%m-%dT%H:%M:%f', ${time}, '-1 day')
      and ${time} <= coalesce(run.ended_at, '~'))`;
  const tables: Readonly<Record<HistoryKind, readonly [table: string, old: string]>> = {
    lines: [
      "line",
      `received_at < @before and ${outsideVisits("line.received_at")}
        and exists (select 1 from line as later where later.receiver_id = line.receiver_id
          and later.boot = line.boot and later.sequence > line.sequence)`,
    ],
    bursts: ["heard_burst", `at < @before and ${outsideVisits("heard_burst.at")}`],
    telegrams: ["telegram", `receiver_id is not null and at < @before and ${outsideVisits("telegram.at")}`],
    aside: ["quarantined", "at < @before"],
  };
  const statements = Object.fromEntries(
    Object.entries(tables).map(([kind, [table, old]]) => [
      kind,
      {
        ends: db.prepare<[], { first: number | null; last: number | null }>(
          `select min(rowid) as first, max(rowid) as last from ${table}`,
        ),
        count: db
          .prepare<Stretch, number>(`select count(*) from ${table} where rowid >= @from and rowid < @to and ${old}`)
          .pluck(),
        drop: db.prepare<Stretch>(`delete from ${table} where rowid >= @from and rowid < @to and ${old}`),
      },
    ]),
  );
  const of = (kind: HistoryKind) => {
    const found = statements[kind];
    if (!found) throw new RangeError(`no history of ${kind}`);
    return found;
  };
  const lineCount = db.prepare<[], number>("select count(*) from line").pluck();
  const lineAt = db.prepare<[number], string>("select received_at from line order by number limit 1 offset ?").pluck();

  return {
    usedBytes: () => read(() => (pragma("page_count") - pragma("freelist_count")) * pragma("page_size")),
    historyRows: (kind) =>
      read(() => {
        const { first, last } = of(kind).ends.get() ?? { first: null, last: null };
        return first === null || last === null ? undefined : { from: first, to: last + 1 };
      }),
    countHistory: (kind, before, { from, to }) =>
      read(() => of(kind).count.get({ before: timeText(before), from, to }) ?? 0),
    forgetHistory: (kind, before, { from, to }) =>
      write(() => of(kind).drop.run({ before: timeText(before), from, to }).changes),
    historyTimeAt: (share) =>
      read(() => {
        const count = lineCount.get() ?? 0;
        return count === 0 ? undefined : lineAt.get(Math.min(count - 1, Math.round(share * count)));
      }),
  };
}

interface Stretch {
  readonly before: string;
  readonly from: number;
  readonly to: number;
}
