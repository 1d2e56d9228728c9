import type { Store, StoredWorksheet, StoredWorksheetHead } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { ifCurrent } from "./pgCards.ts";
import { pgTime } from "./pgTime.ts";

type WorksheetRows = Pick<
  Store,
  | "addWorksheet"
  | "worksheets"
  | "worksheet"
  | "changeWorksheet"
  | "removeWorksheet"
  | "restoreWorksheet"
  | "forgetWorksheets"
>;

const HEAD = `id, revision, created_at as "createdAt", changed_at as "changedAt", title, burst_count as "burstCount",
  job_id as "jobId"`;
const ONE = `select ${HEAD}, body from worksheet where id = $1 and removed_at is null`;

/** What is worked on in the workshop. */
export function worksheetRows({ read, write }: Connection): WorksheetRows {
  return {
    addWorksheet: ({ id, revision, createdAt, changedAt, title, burstCount, jobId, body }) =>
      write(async (sql) => {
        await sql.run("insert into worksheet values ($1, $2, $3, $4, $5, $6, $7, $8, null)", [
          id,
          revision,
          pgTime(createdAt),
          pgTime(changedAt),
          title,
          burstCount,
          jobId,
          JSON.stringify(body),
        ]);
      }),
    worksheets: () =>
      read((sql) =>
        sql.all<StoredWorksheetHead>(
          `select ${HEAD} from worksheet where removed_at is null order by changed_at desc, id`,
        ),
      ),
    worksheet: (id) =>
      read(async (sql) => {
        const row = await sql.one<Row>(ONE, [id]);
        return row && worksheetFrom(row);
      }),
    changeWorksheet: (id, revision, body, changedAt) =>
      write(async (sql) => {
        const row = await sql.one<Row>(`${ONE} for no key update`, [id]);
        return ifCurrent(row && worksheetFrom(row), revision, async (current) => {
          const { title, bursts } = body;
          const at = timeText(changedAt);
          await sql.run(
            `update worksheet set revision = $1, changed_at = $2, title = $3, burst_count = $4, body = $5
              where id = $6`,
            [revision + 1, pgTime(at), title, bursts.length, JSON.stringify(body), id],
          );
          return { ...current, title, burstCount: bursts.length, revision: revision + 1, changedAt: at, body };
        });
      }),
    removeWorksheet: (id, removedAt) =>
      write(async (sql) => {
        const text = "update worksheet set removed_at = $1 where id = $2 and removed_at is null";
        return (await sql.run(text, [pgTime(removedAt), id])) === 1;
      }),
    restoreWorksheet: (id) =>
      write(async (sql) => {
        const text = "update worksheet set removed_at = null where id = $1 and removed_at is not null";
        return (await sql.run(text, [id])) === 1;
      }),
    forgetWorksheets: (removedBefore) =>
      write(async (sql) => {
        await sql.run("delete from worksheet where removed_at < $1", [pgTime(removedBefore)]);
      }),
  };
}

interface Row extends StoredWorksheetHead {
  readonly body: string;
}

function worksheetFrom(row: Row): StoredWorksheet {
  return { ...row, body: JSON.parse(row.body) };
}
