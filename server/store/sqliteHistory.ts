import type { Connection } from "./connection.ts";
import type { Store } from "./store.ts";
import { timeText } from "./timeText.ts";

type HistoryRows = Pick<Store, "usedBytes" | "historyBefore" | "forgetHistory" | "historyTimeAt">;

/**
 * What receivers said long ago. Whatever was heard while somebody listened on a job's visit stays with the job; and of
 * every start of a receiver its last line stays, so that it is known where it goes on.
 */
export function historyRows({ db, read, write }: Connection): HistoryRows {
  const pragma = (name: string) => Number(db.pragma(name, { simple: true }));
  const outsideVisits = (time: string) => `not exists (select 1 from run join job on job.id = run.job_id
    where ${time} >= run.started_at and ${time} <= coalesce(run.ended_at, '~'))`;
  const old = {
    lines: `line where received_at < @before and ${outsideVisits("line.received_at")}
      and exists (select 1 from line as later where later.receiver_id = line.receiver_id
        and later.boot = line.boot and later.sequence > line.sequence)`,
    bursts: `heard_burst where at < @before and ${outsideVisits("heard_burst.at")}`,
    telegrams: `telegram where receiver_id is not null and at < @before and ${outsideVisits("telegram.at")}`,
    aside: "quarantined where at < @before",
  };
  type Kind = keyof typeof old;
  const kinds = Object.keys(old) as Kind[];
  const counts = Object.fromEntries(
    kinds.map((kind) => [kind, db.prepare<{ before: string }, number>(`select count(*) from ${old[kind]}`).pluck()]),
  );
  const drops = kinds.map((kind) => {
    const [table] = old[kind].split(" ", 1);
    return db.prepare<{ before: string; most: number }>(
      `delete from ${table} where rowid in (select ${table}.rowid from ${old[kind]} limit @most)`,
    );
  });
  const ends = db.prepare<[], { first: number | null; last: number | null }>(
    "select min(number) as first, max(number) as last from line",
  );
  const lineAt = db
    .prepare<[number], string>("select received_at from line where number >= ? order by number limit 1")
    .pluck();

  return {
    usedBytes: () => read(() => (pragma("page_count") - pragma("freelist_count")) * pragma("page_size")),
    historyBefore: (before) =>
      read(() => {
        const given = { before: timeText(before) };
        const count = (kind: Kind) => counts[kind]?.get(given) ?? 0;
        return { lines: count("lines"), bursts: count("bursts"), telegrams: count("telegrams"), aside: count("aside") };
      }),
    forgetHistory: (before, most) =>
      write(() => {
        let left = most;
        for (const drop of drops) {
          if (left > 0) left -= drop.run({ before: timeText(before), most: left }).changes;
        }
        return most - left;
      }),
    historyTimeAt: (share) =>
      read(() => {
        const { first, last } = ends.get() ?? { first: null, last: null };
        if (first === null || last === null) return undefined;
        return lineAt.get(Math.round(first + share * (last - first)));
      }),
  };
}
