import type { Connection } from "./connection.ts";
import type { Store, StoredExerciseSet, StoredLesson, StoredSeat, Written } from "./store.ts";
import { timeText } from "./timeText.ts";

type ClassRows = Pick<
  Store,
  | "addExerciseSet"
  | "exerciseSets"
  | "exerciseSet"
  | "changeExerciseSet"
  | "removeExerciseSet"
  | "addLesson"
  | "lessons"
  | "changeLesson"
  | "endLesson"
  | "forgetLessons"
  | "addSeat"
  | "seatsOf"
  | "changeSeat"
  | "removeSeat"
  | "removeSeats"
>;

/** Own sets of exercises; lessons and their seats. */
export function classRows(connection: Connection): ClassRows {
  return { ...setRows(connection), ...lessonRows(connection), ...seatRows(connection) };
}

function setRows({ db, read, write }: Connection) {
  const add = db.prepare<[string, number, string, string]>("insert into exercise_set values (?, ?, ?, ?)");
  const all = db.prepare<[], SetRow>("select * from exercise_set order by id");
  const one = db.prepare<[string], SetRow>("select * from exercise_set where id = ?");
  const change = db.prepare<[string, string, string]>(
    "update exercise_set set revision = revision + 1, changed_at = ?, body = ? where id = ?",
  );
  const remove = db.prepare<[string]>("delete from exercise_set where id = ?");

  const ifCurrent = (
    id: string,
    revision: number,
    work: (current: StoredExerciseSet) => StoredExerciseSet,
  ): Written<StoredExerciseSet> => {
    const row = one.get(id);
    if (row === undefined) return { ok: false, error: "missing" };
    const current = setFrom(row);
    return current.revision === revision ? { ok: true, value: work(current) } : { ok: false, error: "stale", current };
  };

  return {
    addExerciseSet: ({ id, revision, changedAt, body }) =>
      write(() => void add.run(id, revision, timeText(changedAt), JSON.stringify(body))),
    exerciseSets: () => read(() => all.all().map(setFrom)),
    exerciseSet: (id) =>
      read(() => {
        const row = one.get(id);
        return row && setFrom(row);
      }),
    changeExerciseSet: (id, revision, body, changedAt) =>
      write(() =>
        ifCurrent(id, revision, () => {
          const at = timeText(changedAt);
          change.run(at, JSON.stringify(body), id);
          return { id, revision: revision + 1, changedAt: at, body };
        }),
      ),
    removeExerciseSet: (id, revision) =>
      write(() =>
        ifCurrent(id, revision, (current) => {
          remove.run(id);
          return current;
        }),
      ),
  } satisfies Partial<ClassRows>;
}

function lessonRows({ db, read, write }: Connection) {
  const add = db.prepare<[string, string, string | null, string]>("insert into lesson values (?, ?, ?, ?)");
  const all = db.prepare<[], LessonRow>("select * from lesson order by created_at desc, code");
  const change = db.prepare<[string, string]>("update lesson set body = ? where code = ?");
  const end = db.prepare<[string, string]>("update lesson set ended_at = ? where code = ? and ended_at is null");
  const letGo = db.prepare<[string]>("update seat set key_hash = null where lesson = ?");
  const forget = db.prepare<[string]>("delete from lesson where ended_at < ?");
  return {
    addLesson: ({ code, createdAt, endedAt, body }) =>
      write(() => {
        add.run(code, timeText(createdAt), endedAt === null ? null : timeText(endedAt), JSON.stringify(body));
      }),
    lessons: () => read(() => all.all().map(lessonFrom)),
    changeLesson: (code, body) => write(() => change.run(JSON.stringify(body), code).changes === 1),
    endLesson: (code, endedAt) =>
      write(() => {
        letGo.run(code);
        return end.run(timeText(endedAt), code).changes === 1;
      }),
    forgetLessons: (endedBefore) => write(() => void forget.run(timeText(endedBefore))),
  } satisfies Partial<ClassRows>;
}

function seatRows({ db, read, write }: Connection) {
  const add = db.prepare<[string, number, string | null, string, string, string]>(
    "insert into seat values (?, ?, ?, ?, ?, ?)",
  );
  const of = db.prepare<[string], SeatRow>("select * from seat where lesson = ? order by number");
  const change = db.prepare<[string | null, string, string, string, number]>(
    "update seat set key_hash = ?, changed_at = ?, body = ? where lesson = ? and number = ?",
  );
  const remove = db.prepare<[string, number]>("delete from seat where lesson = ? and number = ?");
  const removeAll = db.prepare<[string]>("delete from seat where lesson = ?");
  return {
    addSeat: ({ lesson, number, keyHash, joinedAt, changedAt, body }) =>
      write(() => {
        add.run(lesson, number, keyHash, timeText(joinedAt), timeText(changedAt), JSON.stringify(body));
      }),
    seatsOf: (lesson) => read(() => of.all(lesson).map(seatFrom)),
    changeSeat: (lesson, number, { keyHash, changedAt, body }) =>
      write(() => change.run(keyHash, timeText(changedAt), JSON.stringify(body), lesson, number).changes === 1),
    removeSeat: (lesson, number) => write(() => remove.run(lesson, number).changes === 1),
    removeSeats: (lesson) => write(() => removeAll.run(lesson).changes),
  } satisfies Partial<ClassRows>;
}

interface SetRow {
  readonly id: string;
  readonly revision: number;
  readonly changed_at: string;
  readonly body: string;
}

interface LessonRow {
  readonly code: string;
  readonly created_at: string;
  readonly ended_at: string | null;
  readonly body: string;
}

interface SeatRow {
  readonly lesson: string;
  readonly number: number;
  readonly key_hash: string | null;
  readonly joined_at: string;
  readonly changed_at: string;
  readonly body: string;
}

function setFrom({ id, revision, changed_at, body }: SetRow): StoredExerciseSet {
  return { id, revision, changedAt: changed_at, body: JSON.parse(body) };
}

function lessonFrom({ code, created_at, ended_at, body }: LessonRow): StoredLesson {
  return { code, createdAt: created_at, endedAt: ended_at, body: JSON.parse(body) };
}

function seatFrom({ lesson, number, key_hash, joined_at, changed_at, body }: SeatRow): StoredSeat {
  return {
    lesson,
    number,
    keyHash: key_hash,
    joinedAt: joined_at,
    changedAt: changed_at,
    body: JSON.parse(body),
  };
}
