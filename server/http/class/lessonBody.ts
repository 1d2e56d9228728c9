import { boardOf } from "../../class/lesson.ts";
import type { Bound } from "../guard.ts";
import { addressesOf } from "../network.ts";
import type { LessonBody, LessonHeadBody, SeatBody } from "../wire/lessons.ts";
import type { Lesson, Seat } from "./lessons.ts";

/** A lesson in a list. */
export function lessonHead({ code, createdAt, endedAt, body }: Lesson, joined: number): LessonHeadBody {
  const { id, title, minutes } = body.set;
  return { code, createdAt, endedAt, set: { id, title, minutes }, seats: body.seats, joined };
}

/** The board at a moment. @param nowMs Milliseconds since 1970. */
export function lessonBody(
  lesson: Lesson,
  seats: readonly Seat[],
  bound: Bound | undefined,
  nowMs: number,
): LessonBody {
  const { set, revealed } = lesson.body;
  const work = seats.map(({ number, body }) => ({ number, work: body }));
  const until = lesson.endedAt === null ? nowMs : Date.parse(lesson.endedAt);
  const { seats: rows, rungs } = boardOf(set.exercises, work, until);
  const counted = set.exercises.map(({ id, title, rung }, i) => {
    const cells = rows.flatMap((row) => row.cells[i] ?? []);
    const count = (state: string) => cells.filter((cell) => cell.state === state).length;
    return {
      id,
      title,
      rung,
      revealed: revealed.includes(id),
      begun: cells.length - count("not begun"),
      solved: count("solved"),
      told: count("told"),
      stuck: cells.filter(({ stuck }) => stuck).length,
    };
  });
  const network = bound?.network;
  return {
    ...lessonHead(lesson, seats.length),
    exercises: counted,
    board: seats.flatMap(({ number, joinedAt, changedAt }, i) => {
      const cells = rows[i]?.cells;
      return cells ? [{ number, joinedAt, changedAt, cells: cells.map((cell) => ({ ...cell })) }] : [];
    }),
    rungs: rungs.map(({ rung, stuck, says }) => ({ rung, stuck: [...stuck], says })),
    open: network !== undefined,
    secure: network?.secure ?? false,
    addresses: network ? addressesOf(network).map((address) => `${address}/class/join#${lesson.code}`) : [],
  };
}

/** A lesson as one seat may see it: nothing of any other. */
export function seatBody({ code, body: { set, revealed } }: Lesson, { number, body }: Seat): SeatBody {
  return {
    code,
    number,
    title: set.title,
    exercises: set.exercises.map(({ id, title }) => {
      const progress = body.progress[id];
      const state = progress?.state ?? "not begun";
      return {
        id,
        title,
        state,
        tries: progress?.tries ?? 0,
        hints: progress?.hints ?? 0,
        revealed: revealed.includes(id),
      };
    }),
  };
}
