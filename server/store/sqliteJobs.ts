import type { Connection } from "./connection.ts";
import type { Store, StoredJob, StoredJobChange, StoredLayout, StoredRun, Written } from "./store.ts";
import { timeText } from "./timeText.ts";

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
  | "addLayout"
  | "layouts"
  | "layoutVersions"
  | "removeSamples"
  | "setting"
  | "setSetting"
>;

/** Of one card; what was done before them can no longer be taken back. */
const MOST_CHANGES = 200;

/** Jobs with their runs, layouts by version, settings; and the samples of the house taken away. */
export function jobRows({ db, read, write }: Connection): JobRows {
  const add = db.prepare<JobRow>(
    "insert into job values (@id, @revision, @created_at, @changed_at, @sample, @body, null)",
  );
  const all = db.prepare<[], JobRow>("select * from job where removed_at is null order by created_at desc, id");
  const one = db.prepare<[string], JobRow>("select * from job where id = ? and removed_at is null");
  const bin = db.prepare<[], JobRow & { readonly removed_at: string }>(
    "select * from job where removed_at is not null order by removed_at desc, id",
  );
  const change = db.prepare<[string, string, string]>(
    "update job set revision = revision + 1, changed_at = ?, body = ? where id = ?",
  );
  const keepChange = db.prepare<[string, number, string, string, string]>(
    "insert into job_change values (?, ?, ?, ?, ?)",
  );
  // What was answered about the job holds the card as it was.
  const dropAnswers = db.prepare<{ readonly id: string }>(
    `delete from answered where path = '/api/v1/jobs/' || @id or path glob '/api/v1/jobs/' || @id || '/*'
      or answer like '%"Location":"/api/v1/jobs/' || @id || '"%'`,
  );
  const dropChanges = db.prepare<[string, number]>("delete from job_change where job_id = ? and revision <= ?");
  const changes = db.prepare<[string], StoredJobChange & { readonly before: string }>(
    "select revision, at, says, before from job_change where job_id = ? order by revision desc",
  );
  const remove = db.prepare<[string, string]>("update job set removed_at = ? where id = ?");
  const restore = db.prepare<[string]>("update job set removed_at = null where id = ? and removed_at is not null");
  const forget = db.prepare<[string], string>("delete from job where removed_at < ? returning id").pluck();
  const addRun = db.prepare<[string, string, string, string | null]>("insert into run values (?, ?, ?, ?)");
  const endRun = db.prepare<[string, string, string]>("update run set ended_at = ? where job_id = ? and id = ?");
  const runs = db.prepare<[string], StoredRun>(
    "select id, started_at as startedAt, ended_at as endedAt from run where job_id = ? order by started_at, id",
  );
  const addLayout = db.prepare<[string, number, string, string, string]>("insert into layout values (?, ?, ?, ?, ?)");
  const layouts = db.prepare<[], LayoutRow>(
    "select *, max(version) from layout group by id order by id", // the other columns are those of the highest version
  );
  const versions = db.prepare<[string], LayoutRow>("select * from layout where id = ? order by version");
  const newest = db.prepare<[string], number | null>("select max(version) from layout where id = ?").pluck();
  const removeRecordings = db.prepare<[], string>("delete from recording where sample = 1 returning hash").pluck();
  const removeJobs = db.prepare<[], string>("delete from job where sample = 1 returning id").pluck();
  const removeLots = db.prepare<[], string>("delete from lot where sample = 1 returning id").pluck();
  const setting = db.prepare<[string], string>("select value from setting where name = ?").pluck();
  const setSetting = db.prepare<[string, string]>("insert or replace into setting values (?, ?)");

  /** Does `work` on a job if it still is the revision that the caller saw. */
  const ifCurrent = (id: string, revision: number, work: (current: StoredJob) => StoredJob): Written<StoredJob> => {
    const row = one.get(id);
    if (row === undefined) return { ok: false, error: "missing" };
    const current = jobFrom(row);
    return current.revision === revision ? { ok: true, value: work(current) } : { ok: false, error: "stale", current };
  };

  return {
    addJob: (job) =>
      write(() => {
        add.run(jobRow(job));
      }),
    jobs: () => read(() => all.all().map(jobFrom)),
    job: (id) =>
      read(() => {
        const row = one.get(id);
        return row && jobFrom(row);
      }),
    changeJob: (id, revision, body, changedAt, says) =>
      write(() =>
        ifCurrent(id, revision, (current) => {
          const at = timeText(changedAt);
          change.run(at, jsonOf(body), id);
          keepChange.run(id, revision + 1, at, says, jsonOf(current.body));
          dropChanges.run(id, revision + 1 - MOST_CHANGES);
          return { ...current, revision: revision + 1, changedAt: at, body };
        }),
      ),
    jobChanges: (id) => read(() => changes.all(id).map((row) => ({ ...row, before: JSON.parse(row.before) }))),
    wipeJob: (id, revision, body, changedAt) =>
      write(() =>
        ifCurrent(id, revision, (current) => {
          const at = timeText(changedAt);
          change.run(at, jsonOf(body), id);
          dropChanges.run(id, Number.MAX_SAFE_INTEGER);
          dropAnswers.run({ id });
          return { ...current, revision: revision + 1, changedAt: at, body };
        }),
      ),
    removeJob: (id, revision, removedAt) =>
      write(() =>
        ifCurrent(id, revision, (current) => {
          remove.run(timeText(removedAt), id);
          return current;
        }),
      ),
    removedJobs: () => read(() => bin.all().map((row) => ({ ...jobFrom(row), removedAt: row.removed_at }))),
    restoreJob: (id) => write(() => restore.run(id).changes === 1),
    forgetJobs: (removedBefore) => write(() => forget.all(timeText(removedBefore))),
    addRun: (jobId, run) =>
      write(() => {
        addRun.run(jobId, run.id, timeText(run.startedAt), run.endedAt === null ? null : timeText(run.endedAt));
      }),
    endRun: (jobId, runId, endedAt) => write(() => endRun.run(timeText(endedAt), jobId, runId).changes === 1),
    runsOf: (jobId) => read(() => runs.all(jobId)),
    addLayout: (id, body, addedAt, tests) =>
      write(() => {
        const layout = { id, version: (newest.get(id) ?? 0) + 1, addedAt: timeText(addedAt), body, tests };
        addLayout.run(id, layout.version, layout.addedAt, jsonOf(body), jsonOf(tests));
        return layout;
      }),
    layouts: () => read(() => layouts.all().map(layoutFrom)),
    layoutVersions: (id) => read(() => versions.all(id).map(layoutFrom)),
    removeSamples: () =>
      write(() => ({ recordings: removeRecordings.all(), jobs: removeJobs.all(), lots: removeLots.all() })),
    setting: (name) => read(() => setting.get(name)),
    setSetting: (name, value) =>
      write(() => {
        setSetting.run(name, value);
      }),
  };
}

interface JobRow {
  readonly id: string;
  readonly revision: number;
  readonly created_at: string;
  readonly changed_at: string;
  readonly sample: number;
  readonly body: string;
}

function jobRow(job: StoredJob): JobRow {
  return {
    id: job.id,
    revision: job.revision,
    created_at: timeText(job.createdAt),
    changed_at: timeText(job.changedAt),
    sample: job.sample ? 1 : 0,
    body: jsonOf(job.body),
  };
}

function jobFrom(row: JobRow): StoredJob {
  return {
    id: row.id,
    revision: row.revision,
    createdAt: row.created_at,
    changedAt: row.changed_at,
    sample: row.sample === 1,
    body: JSON.parse(row.body),
  };
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

/** @throws RangeError for a value that JSON has no text for: a caller's bug. */
function jsonOf(body: unknown): string {
  const text: string | undefined = JSON.stringify(body);
  if (text === undefined) throw new RangeError(`a body that is no JSON value: ${typeof body}`);
  return text;
}
