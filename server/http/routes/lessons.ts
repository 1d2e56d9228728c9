import { z } from "zod";
import { lessonBody, lessonHead } from "../class/lessonBody.ts";
import type { Lesson } from "../class/lessons.ts";
import type { Rooms } from "../class/room.ts";
import type { Bound } from "../guard.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { LessonBody, LessonHeadBody, LessonNewBody, LessonRevealBody, RoomBody } from "../wire/lessons.ts";

/** Lessons, for whoever gives them: at the computer, or on a device that was let in. No seat comes here. */
export function lessonRoutes(
  { exerciseSets, lessons, rooms }: Pick<House, "exerciseSets" | "lessons" | "rooms">,
  bound: () => Bound | undefined,
  now: () => number,
): readonly Route[] {
  function lessonOf(code: string | undefined): Lesson {
    const lesson = lessons.lesson((code ?? "").toUpperCase());
    if (lesson) return lesson;
    throw new Problem("not-found", `There is no lesson ${code}.`, { nextSteps: ["See the lessons at /class."] });
  }

  function bodyNow(code: string) {
    return lessonBody(lessonOf(code), lessons.seatsOf(code), bound(), now());
  }

  function refuseEnded({ code, endedAt }: Lesson): void {
    if (endedAt === null) return;
    throw new Problem("conflict", `The lesson ${code} has ended.`, { nextSteps: ["Begin another one at /class."] });
  }

  return [
    route({
      method: "get",
      path: "/lessons",
      summary: "Lessons that are on, and those of the last thirty days, newest first",
      answers: { 200: { says: "The lessons; none is an empty list.", body: z.array(LessonHeadBody) } },
      handle: async () => ({
        status: 200,
        body: lessons.all().map((lesson) => lessonHead(lesson, lessons.seatsOf(lesson.code).length)),
      }),
    }),
    route({
      method: "post",
      path: "/lessons",
      summary: "Begin a lesson with a set of exercises",
      notes: "The set is kept with the lesson as it is now: whoever changes it later changes nothing in the room.",
      body: LessonNewBody,
      answers: { 201: { says: "The lesson.", body: LessonBody, headers: { Location: "its address" } } },
      problems: ["not-found", "conflict"],
      async handle({ body: { set: id, seats } }) {
        const { set } = await exerciseSets.one(id);
        if (set.exercises.length === 0) {
          throw new Problem("conflict", `The set ${id} has no exercises yet.`, { nextSteps: ["Add one, then begin."] });
        }
        const { code } = await lessons.begin(set, seats);
        return { status: 201, body: bodyNow(code), headers: { Location: `/api/v1/lessons/${code}` } };
      },
    }),
    route({
      method: "get",
      path: "/lessons/{code}",
      summary: "The class board: how far each seat came, and who is stuck where",
      answers: { 200: { says: "The board.", body: LessonBody } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: bodyNow(lessonOf(params["code"]).code) }),
    }),
    route({
      method: "post",
      path: "/lessons/{code}/reset",
      summary: "Wipe all seats and how far they came; phones have to join again",
      notes: "This cannot be undone. The same seat number is drawn the same exercises again.",
      answers: { 200: { says: "The board, empty.", body: LessonBody } },
      problems: ["not-found", "conflict"],
      async handle({ params }) {
        const lesson = lessonOf(params["code"]);
        refuseEnded(lesson);
        await lessons.reset(lesson.code);
        return { status: 200, body: bodyNow(lesson.code) };
      },
    }),
    route({
      method: "post",
      path: "/lessons/{code}/reveal",
      summary: "Let every seat see the answer of an exercise, or no longer",
      body: LessonRevealBody,
      answers: { 200: { says: "The board.", body: LessonBody } },
      problems: ["not-found", "conflict"],
      async handle({ params, body: { exercise, on } }) {
        const lesson = lessonOf(params["code"]);
        refuseEnded(lesson);
        if (!lesson.body.set.exercises.some(({ id }) => id === exercise)) {
          throw new Problem("not-found", `There is no exercise ${exercise} in this lesson.`);
        }
        await lessons.reveal(lesson.code, exercise, on);
        return { status: 200, body: bodyNow(lesson.code) };
      },
    }),
    ...roomRoutes(rooms, lessonOf, refuseEnded, bound),
    route({
      method: "delete",
      path: "/lessons/{code}",
      summary: "End a lesson: no seat may ask for anything any more; its board stays for thirty days",
      answers: { 200: { says: "The board as it was.", body: LessonBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const { code } = lessonOf(params["code"]);
        await lessons.end(code);
        return { status: 200, body: bodyNow(code) };
      },
    }),
  ];
}

function roomRoutes(
  rooms: Rooms,
  lessonOf: (code: string | undefined) => Lesson,
  refuseEnded: (lesson: Lesson) => void,
  bound: () => Bound | undefined,
): Route[] {
  const answers = { 200: { says: "How it stands.", body: RoomBody } };
  return [
    route({
      method: "get",
      path: "/lessons/{code}/room",
      summary: "Whether the room is ready for the class",
      answers,
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await rooms.now(lessonOf(params["code"]), bound()) }),
    }),
    route({
      method: "post",
      path: "/lessons/{code}/room",
      summary: "Check the room: begins to make every exercise for every seat, and says what holds",
      answers,
      problems: ["not-found", "conflict"],
      async handle({ params }) {
        const lesson = lessonOf(params["code"]);
        refuseEnded(lesson);
        rooms.check(lesson);
        return { status: 200, body: await rooms.now(lesson, bound()) };
      },
    }),
  ];
}
