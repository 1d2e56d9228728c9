import type { Store, StoredJobChange, StoredRun } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { cardRows, heldCard, ifCurrent, jsonOf } from "./pgCards.ts";
import { pgTime } from "./pgTime.ts";
import type { Sql } from "./sql.ts";

type JobRows = Pick<
  Store,
  | "addJob"
  | "jobs"
  | "job"
  | "changeJob"
  | "jobChanges"
  | "wipeJob"
  | "removeJob"
  | "removedJobs"
  | "restoreJob"
  | "forgetJobs"
  | "addRun"
  | "endRun"
  | "runsOf"
>;

/** Of one card; what was done before them can no longer be taken back. */
const MOST_CHANGES = 200;

const CHANGE = "update job set revision = revision + 1, changed_at = $1, body = $2 where id = $3";

/** Jobs with their runs. */
export function jobRows(connection: Connection): JobRows {
  const { read, write } = connection;
  const cards = cardRows(connection, "job");
  return {
    addJob: cards.add,
    jobs: cards.all,
    job: cards.one,
    changeJob: (id, revision, body, changedAt, says) =>
      write(async (sql) =>
        ifCurrent(await heldCard(sql, "job", id), revision, async (current) => {
          const at = timeText(changedAt);
          await sql.run(CHANGE, [pgTime(at), jsonOf(body), id]);
          await sql.run("insert into job_change values ($1, $2, $3, $4, $5)", [
            id,
            revision + 1,
            pgTime(at),
            says,
            jsonOf(current.body),
          ]);
          await dropChanges(sql, id, revision + 1 - MOST_CHANGES);
          return { ...current, revision: revision + 1, changedAt: at, body };
        }),
      ),
    jobChanges: (id) =>
      read(async (sql) => {
        const rows = await sql.all<StoredJobChange & { readonly before: string }>(
          "select revision, at, says, before from job_change where job_id = $1 order by revision desc",
          [id],
        );
        return rows.map((row) => ({ ...row, before: JSON.parse(row.before) }));
      }),
    wipeJob: (id, revision, body, changedAt) =>
      write(async (sql) =>
        ifCurrent(await heldCard(sql, "job", id), revision, async (current) => {
          const at = timeText(changedAt);
          await sql.run(CHANGE, [pgTime(at), jsonOf(body), id]);
          await dropChanges(sql, id, revision + 1);
          await dropAnswers(sql, id);
          return { ...current, revision: revision + 1, changedAt: at, body };
        }),
      ),
    removeJob: cards.remove,
    removedJobs: cards.removed,
    restoreJob: cards.restore,
    forgetJobs: (removedBefore) =>
      write(async (sql) => {
        const text = "delete from job where removed_at < $1 returning id";
        return (await sql.all<{ id: string }>(text, [pgTime(removedBefore)])).map(({ id }) => id);
      }),
    addRun: (jobId, { id, startedAt, endedAt }) =>
      write(async (sql) => {
        const end = endedAt === null ? null : pgTime(endedAt);
        await sql.run("insert into run values ($1, $2, $3, $4)", [jobId, id, pgTime(startedAt), end]);
      }),
    endRun: (jobId, runId, endedAt) =>
      write(async (sql) => {
        const text = "update run set ended_at = $1 where job_id = $2 and id = $3";
        return (await sql.run(text, [pgTime(endedAt), jobId, runId])) === 1;
      }),
    runsOf: (jobId) =>
      read((sql) =>
        sql.all<StoredRun>(
          `select id, started_at as "startedAt", ended_at as "endedAt" from run
            where job_id = $1 order by started_at, id`,
          [jobId],
        ),
      ),
  };
}

async function dropChanges(sql: Sql, id: string, upTo: number): Promise<void> {
  await sql.run("delete from job_change where job_id = $1 and revision <= $2", [id, upTo]);
}

/** What was answered about the job holds the card as it was. */
async function dropAnswers(sql: Sql, id: string): Promise<void> {
  const path = `/api/v1/jobs/${id}`;
  await sql.run(
    "delete from answered where path = $1 or starts_with(path, $2) or position($3 in coalesce(answer, '')) > 0",
    [path, `${path}/`, `"Location":"${path}"`],
  );
}
