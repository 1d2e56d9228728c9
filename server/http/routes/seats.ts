import type { Request } from "express";
import { answered, hinted, opened, type SeatWork, told } from "../../class/lesson.ts";
import { seatBody } from "../class/lessonBody.ts";
import type { Lesson, Seat } from "../class/lessons.ts";
import type { Prepared } from "../class/prepareExercise.ts";
import { sittingBody } from "../class/sittingBody.ts";
import { BEGUN, type Progress } from "../class/sittings.ts";
import { askerOf, type Bound, seatCookie, seatOf } from "../guard.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { AnsweredBody, AnswerGivenBody, SittingBody } from "../wire/exercises.ts";
import { SeatBody, SeatHintBody, SeatJoinedBody, SeatNewBody } from "../wire/lessons.ts";

/** For as long as its key may open anything. */
const COOKIE_SECONDS = 7 * 24 * 3600;
/** Of an answer; nobody types more. */
const MOST_BYTES = 16 * 1024;

/** What a student's phone asks for, and all that it may. */
export function seatRoutes(
  { lessons, sittings }: Pick<House, "lessons" | "sittings">,
  bound: () => Bound | undefined,
): readonly Route[] {
  function here(request: Request): { readonly seat: Seat; readonly lesson: Lesson } {
    const seat = seatOf(request);
    const lesson = lessons.lesson(seat.lesson);
    if (!lesson) throw new RangeError(`a seat of no lesson ${seat.lesson}`);
    return { seat, lesson };
  }

  /** The exercise as it is drawn for this seat. */
  async function drawn(request: Request, exercise: string | undefined) {
    const { seat, lesson } = here(request);
    const { set } = lesson.body;
    const found = set.exercises.find(({ id }) => id === exercise);
    if (!found) throw new Problem("not-found", `There is no exercise ${exercise} in this lesson.`);
    try {
      const prepared = await sittings.prepare(set, found.id, lessons.seedOf(lesson, seat.number, found.id));
      return { seat, lesson, id: found.id, prepared };
    } catch {
      // What it says may hold what is asked; the room check tells the instructor.
      throw new Problem("conflict", "This exercise does not work out.", {
        nextSteps: ["Take another one, and tell the instructor."],
      });
    }
  }

  function sittingOf({ code, body: { set } }: Lesson, prepared: Prepared, { number, body }: Seat, id: string) {
    // What is on the air is no recording of theirs to keep.
    return { ...sittingBody(`${code}-${number}`, set, prepared, progressOf(body, id)), hasRecording: false };
  }

  return [
    route({
      method: "post",
      path: "/seats",
      tellsSecret: true,
      summary: "Take a seat in a lesson with its code",
      notes:
        "A browser is given the seat's key as a cookie that no script can read. A program asks for it with tellKey.",
      body: SeatNewBody,
      mostBytes: MOST_BYTES,
      answers: {
        201: { says: "The seat.", body: SeatJoinedBody, headers: { "Set-Cookie": "the key, for a browser" } },
      },
      problems: ["not-found", "conflict", "too-many"],
      async handle({ request, body: { code, number, tellKey = false } }) {
        const before = askerOf(request).seat;
        const { seat, key } = await lessons.join(code, number, request.socket.remoteAddress ?? "");
        // Whoever only chose another number leaves none behind; where something was begun it stays on the board.
        if (before) await lessons.leave(before);
        const lesson = lessons.lesson(seat.lesson);
        if (!lesson) throw new RangeError(`a seat of no lesson ${seat.lesson}`);
        const body = { seat: seatBody(lesson, seat), key: tellKey ? key : null };
        if (tellKey) return { status: 201, body };
        const isSecure = askerOf(request).kind === "network" && (bound()?.network?.secure ?? false);
        return { status: 201, body, headers: { "Set-Cookie": seatCookie(isSecure, key, COOKIE_SECONDS) } };
      },
    }),
    route({
      method: "get",
      path: "/seat",
      summary: "The lesson as this seat may see it; phones ask every few seconds",
      answers: { 200: { says: "The seat.", body: SeatBody } },
      problems: ["no-seat"],
      async handle({ request }) {
        const { seat, lesson } = here(request);
        return { status: 200, body: seatBody(lesson, seat) };
      },
    }),
    route({
      method: "post",
      path: "/seat/exercises/{exercise}",
      notKept: true,
      summary: "Open an exercise, as it is drawn for this seat",
      answers: { 200: { says: "The exercise, and how far the seat came with it.", body: SittingBody } },
      problems: ["no-seat", "not-found", "conflict"],
      async handle({ request, params }) {
        const { seat, lesson, id, prepared } = await drawn(request, params["exercise"]);
        const now = await lessons.goOn(seat, (work, at) => opened(work, id, at));
        return { status: 200, body: sittingOf(lesson, prepared, now, id) };
      },
    }),
    route({
      method: "post",
      path: "/seat/exercises/{exercise}/answers",
      notKept: true,
      summary: "Answer an exercise; the same wrong answer twice in a row counts once",
      body: AnswerGivenBody,
      mostBytes: MOST_BYTES,
      answers: { 200: { says: "Whether it is right, and what there is to say to it.", body: AnsweredBody } },
      problems: ["no-seat", "not-found", "conflict"],
      async handle({ request, params, body: { answer } }) {
        const { seat, lesson, id, prepared } = await drawn(request, params["exercise"]);
        const { right, says } = prepared.judge(answer);
        const now = await lessons.goOn(seat, (work, at) => answered(work, id, answer, right, at));
        return { status: 200, body: { right, says, sitting: sittingOf(lesson, prepared, now, id) } };
      },
    }),
    route({
      method: "post",
      path: "/seat/exercises/{exercise}/hints",
      notKept: true,
      summary: "Take the next hint",
      body: SeatHintBody,
      mostBytes: MOST_BYTES,
      answers: { 200: { says: "The exercise, with its hints.", body: SittingBody } },
      problems: ["no-seat", "not-found", "conflict"],
      async handle({ request, params, body: { after } }) {
        const { seat, lesson, id, prepared } = await drawn(request, params["exercise"]);
        const had = progressOf(seat.body, id).hints;
        const hints = Math.min(prepared.hints.length, after + 1, had + 1);
        const now = await lessons.goOn(seat, (work, at) => hinted(work, id, hints, at));
        return { status: 200, body: sittingOf(lesson, prepared, now, id) };
      },
    }),
    route({
      method: "post",
      path: "/seat/exercises/{exercise}/reveal",
      notKept: true,
      summary: "See the answer, once it was found or the instructor shows it",
      answers: { 200: { says: "The exercise with its answer, why, and the check ladder.", body: SittingBody } },
      problems: ["no-seat", "not-found", "conflict"],
      async handle({ request, params }) {
        const { seat, lesson, id, prepared } = await drawn(request, params["exercise"]);
        const isFound = progressOf(seat.body, id).state !== "looking";
        if (!isFound && !lesson.body.revealed.includes(id)) {
          throw new Problem("conflict", "This answer is not shown yet.", {
            nextSteps: ["Find it, or wait until the instructor shows it to all."],
          });
        }
        const now = await lessons.goOn(seat, (work, at) => told(work, id, at));
        return { status: 200, body: sittingOf(lesson, prepared, now, id) };
      },
    }),
  ];
}

function progressOf(work: SeatWork, exercise: string): Progress {
  const { state, tries, hints } = work.progress[exercise] ?? BEGUN;
  return { state, tries, hints };
}
