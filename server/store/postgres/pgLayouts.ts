import type { Store, StoredLayout } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { jsonOf } from "./pgCards.ts";
import { removeTelegrams } from "./pgTelegrams.ts";
import { pgTime } from "./pgTime.ts";

type LayoutRows = Pick<Store, "addLayout" | "layouts" | "layoutVersions" | "removeSamples" | "setting" | "setSetting">;

/** Layouts by version, settings; and the samples of the house taken away. */
export function layoutRows({ read, write }: Connection): LayoutRows {
  return {
    addLayout: (id, body, addedAt, tests) =>
      write(async (sql) => {
        const at = timeText(addedAt);
        // Two that add a version of one layout do so one after the other.
        await sql.run("select pg_advisory_xact_lock(hashtextextended($1, 0))", [`layout ${id}`]);
        const text = "select coalesce(max(version), 0) as newest from layout where id = $1";
        const version = ((await sql.one<{ newest: number }>(text, [id]))?.newest ?? 0) + 1;
        await sql.run("insert into layout values ($1, $2, $3, $4, $5)", [
          id,
          version,
          pgTime(at),
          jsonOf(body),
          jsonOf(tests),
        ]);
        return { id, version, addedAt: at, body, tests };
      }),
    layouts: () =>
      read(async (sql) =>
        (await sql.all<LayoutRow>("select distinct on (id) * from layout order by id, version desc")).map(layoutFrom),
      ),
    layoutVersions: (id) =>
      read(async (sql) =>
        (await sql.all<LayoutRow>("select * from layout where id = $1 order by version", [id])).map(layoutFrom),
      ),
    removeSamples: () =>
      write(async (sql) => {
        const held = await sql.all<{ hash: string }>(
          "select hash from recording where sample order by hash for update",
        );
        const recordings = held.map(({ hash }) => hash);
        await removeTelegrams(sql, recordings);
        await sql.run("delete from recording where hash = any($1)", [recordings]);
        const jobs = await sql.all<{ id: string }>("delete from job where sample returning id");
        const lots = await sql.all<{ id: string }>("delete from lot where sample returning id");
        return { recordings, jobs: jobs.map(({ id }) => id), lots: lots.map(({ id }) => id) };
      }),
    setting: (name) =>
      read(
        async (sql) => (await sql.one<{ value: string }>("select value from setting where name = $1", [name]))?.value,
      ),
    setSetting: setSetting(write),
  };
}

/** Also for a connection that has claims. */
function setSetting(write: Connection["write"]): Store["setSetting"] {
  return (name, value) =>
    write(
      async (sql) => {
        const text = "insert into setting values ($1, $2) on conflict (name) do update set value = excluded.value";
        await sql.run(text, [name, value]);
      },
      { isOneStatement: true },
    );
}

interface LayoutRow {
  readonly id: string;
  readonly version: number;
  readonly added_at: string;
  readonly body: string;
  readonly tests: string;
}

function layoutFrom({ id, version, added_at, body, tests }: LayoutRow): StoredLayout {
  return { id, version, addedAt: added_at, body: JSON.parse(body), tests: JSON.parse(tests) };
}
