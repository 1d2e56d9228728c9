import type { Store, StoredExerciseSet, StoredLesson, StoredSeat } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { ifCurrent } from "./pgCards.ts";
import { pgTime } from "./pgTime.ts";
import type { Sql } from "./sql.ts";

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

const SET = `select id, revision, changed_at as "changedAt", body from exercise_set`;

function setRows({ read, write }: Connection) {
  const held = async (sql: Sql, id: string) => {
    const row = await sql.one<SetRow>(`${SET} where id = $1 for no key update`, [id]);
    return row && withBody(row);
  };
  return {
    addExerciseSet: ({ id, revision, changedAt, body }) =>
      write(async (sql) => {
        const text = "insert into exercise_set values ($1, $2, $3, $4)";
        await sql.run(text, [id, revision, pgTime(changedAt), JSON.stringify(body)]);
      }),
    exerciseSets: () => read(async (sql) => (await sql.all<SetRow>(`${SET} order by id`)).map(withBody)),
    exerciseSet: (id) =>
      read(async (sql) => {
        const row = await sql.one<SetRow>(`${SET} where id = $1`, [id]);
        return row && withBody(row);
      }),
    changeExerciseSet: (id, revision, body, changedAt) =>
      write(async (sql) =>
        ifCurrent<StoredExerciseSet>(await held(sql, id), revision, async () => {
          const at = timeText(changedAt);
          const text = "update exercise_set set revision = revision + 1, changed_at = $1, body = $2 where id = $3";
          await sql.run(text, [pgTime(at), JSON.stringify(body), id]);
          return { id, revision: revision + 1, changedAt: at, body };
        }),
      ),
    removeExerciseSet: (id, revision) =>
      write(async (sql) =>
        ifCurrent<StoredExerciseSet>(await held(sql, id), revision, async (current) => {
          await sql.run("delete from exercise_set where id = $1", [id]);
          return current;
        }),
      ),
  } satisfies Partial<ClassRows>;
}

function lessonRows({ read, write }: Connection) {
  return {
    addLesson: ({ code, createdAt, endedAt, body }) =>
      write(async (sql) => {
        const end = endedAt === null ? null : pgTime(endedAt);
        await sql.run("insert into lesson values ($1, $2, $3, $4)", [
          code,
          pgTime(createdAt),
          end,
          JSON.stringify(body),
        ]);
      }),
    lessons: () =>
      read(async (sql) => {
        const rows = await sql.all<LessonRow>(
          `select code, created_at as "createdAt", ended_at as "endedAt", body from lesson
            order by created_at desc, code`,
        );
        return rows.map(withBody);
      }),
    changeLesson: (code, body) =>
      write(
        async (sql) =>
          (await sql.run("update lesson set body = $1 where code = $2", [JSON.stringify(body), code])) === 1,
      ),
    endLesson: (code, endedAt) =>
      write(async (sql) => {
        const text = "update lesson set ended_at = $1 where code = $2 and ended_at is null";
        const count = await sql.run(text, [pgTime(endedAt), code]);
        await sql.run("update seat set key_hash = null where lesson = $1", [code]);
        return count === 1;
      }),
    forgetLessons: (endedBefore) =>
      write(async (sql) => {
        await sql.run("delete from lesson where ended_at < $1", [pgTime(endedBefore)]);
      }),
  } satisfies Partial<ClassRows>;
}

function seatRows({ read, write }: Connection) {
  return {
    addSeat: ({ lesson, number, keyHash, joinedAt, changedAt, body }) =>
      write(async (sql) => {
        const values = [lesson, number, keyHash, pgTime(joinedAt), pgTime(changedAt), JSON.stringify(body)];
        await sql.run("insert into seat values ($1, $2, $3, $4, $5, $6)", values);
      }),
    seatsOf: (lesson) =>
      read(async (sql) => {
        const rows = await sql.all<SeatRow>(
          `select lesson, number, key_hash as "keyHash", joined_at as "joinedAt", changed_at as "changedAt", body
            from seat where lesson = $1 order by number`,
          [lesson],
        );
        return rows.map(withBody);
      }),
    changeSeat: (lesson, number, { keyHash, changedAt, body }) =>
      write(async (sql) => {
        const text = "update seat set key_hash = $1, changed_at = $2, body = $3 where lesson = $4 and number = $5";
        return (await sql.run(text, [keyHash, pgTime(changedAt), JSON.stringify(body), lesson, number])) === 1;
      }),
    removeSeat: (lesson, number) =>
      write(async (sql) => {
        const text = "delete from seat where lesson = $1 and number = $2";
        return (await sql.run(text, [lesson, number])) === 1;
      }),
    removeSeats: (lesson) => write((sql) => sql.run("delete from seat where lesson = $1", [lesson])),
  } satisfies Partial<ClassRows>;
}

type SetRow = StoredExerciseSet<string>;
type LessonRow = StoredLesson<string>;
type SeatRow = StoredSeat<string>;

function withBody<Row extends { readonly body: string }>(row: Row): Omit<Row, "body"> & { readonly body: unknown } {
  return { ...row, body: JSON.parse(row.body) };
}
