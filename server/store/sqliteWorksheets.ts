import type { Connection } from "./connection.ts";
import type { Store, StoredWorksheet, StoredWorksheetHead } from "./store.ts";
import { timeText } from "./timeText.ts";

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

const HEAD = `id, revision, created_at as createdAt, changed_at as changedAt, title, burst_count as burstCount,
  job_id as jobId`;

/** What is worked on in the workshop. */
export function worksheetRows({ db, read, write }: Connection): WorksheetRows {
  const add = db.prepare<Row>(
    "insert into worksheet values (@id, @revision, @createdAt, @changedAt, @title, @burstCount, @jobId, @body, null)",
  );
  const all = db.prepare<[], StoredWorksheetHead>(
    `select ${HEAD} from worksheet where removed_at is null order by changed_at desc, id`,
  );
  const one = db.prepare<[string], Row>(`select ${HEAD}, body from worksheet where id = ? and removed_at is null`);
  const change = db.prepare<Omit<Row, "createdAt" | "jobId">>(
    `update worksheet set revision = @revision, changed_at = @changedAt, title = @title, burst_count = @burstCount,
      body = @body where id = @id`,
  );
  const remove = db.prepare<[string, string]>(
    "update worksheet set removed_at = ? where id = ? and removed_at is null",
  );
  const restore = db.prepare<[string]>(
    "update worksheet set removed_at = null where id = ? and removed_at is not null",
  );
  const forget = db.prepare<[string]>("delete from worksheet where removed_at < ?");

  return {
    addWorksheet: (worksheet) =>
      write(() => {
        add.run(rowOf(worksheet));
      }),
    worksheets: () => read(() => all.all()),
    worksheet: (id) =>
      read(() => {
        const row = one.get(id);
        return row && worksheetFrom(row);
      }),
    changeWorksheet: (id, revision, body, changedAt) =>
      write(() => {
        const row = one.get(id);
        if (row === undefined) return { ok: false, error: "missing" };
        const current = worksheetFrom(row);
        if (current.revision !== revision) return { ok: false, error: "stale", current };
        const { title, bursts } = body;
        const now = { title, burstCount: bursts.length, revision: revision + 1, changedAt: timeText(changedAt), body };
        const value = { ...current, ...now };
        const { createdAt: _createdAt, jobId: _jobId, ...changed } = rowOf(value);
        change.run(changed);
        return { ok: true, value };
      }),
    removeWorksheet: (id, removedAt) => write(() => remove.run(timeText(removedAt), id).changes === 1),
    restoreWorksheet: (id) => write(() => restore.run(id).changes === 1),
    forgetWorksheets: (removedBefore) =>
      write(() => {
        forget.run(timeText(removedBefore));
      }),
  };
}

interface Row extends StoredWorksheetHead {
  readonly body: string;
}

function rowOf(worksheet: StoredWorksheet): Row {
  const { createdAt, changedAt, body } = worksheet;
  return {
    ...worksheet,
    createdAt: timeText(createdAt),
    changedAt: timeText(changedAt),
    body: JSON.stringify(body),
  };
}

function worksheetFrom(row: Row): StoredWorksheet {
  return { ...row, body: JSON.parse(row.body) };
}
