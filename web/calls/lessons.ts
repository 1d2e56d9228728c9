import type { AnsweredBody, SittingBody } from "../../server/http/wire/exercises.ts";
import type { LessonBody, LessonHeadBody, RoomBody, SeatBody, SeatJoinedBody } from "../../server/http/wire/lessons.ts";
import { type Answer, get, send } from "../api.ts";

export function lessons(): Promise<Answer<readonly LessonHeadBody[]>> {
  return get("/lessons");
}

export function startLesson(set: string, seats: number): Promise<Answer<LessonBody>> {
  return send("POST", "/lessons", { json: { set, seats } });
}

/** The class board. */
export function lesson(code: string): Promise<Answer<LessonBody>> {
  return get(of(code));
}

/** Wipes all seats and how far they came. */
export function resetLesson(code: string): Promise<Answer<LessonBody>> {
  return send("POST", `${of(code)}/reset`, {});
}

/** Lets every seat see the answer, or no longer. */
export function revealToAll(code: string, exercise: string, on: boolean): Promise<Answer<LessonBody>> {
  return send("POST", `${of(code)}/reveal`, { json: { exercise, on } });
}

export function endLesson(code: string): Promise<Answer<LessonBody>> {
  return send("DELETE", of(code), {});
}

export function room(code: string): Promise<Answer<RoomBody>> {
  return get(`${of(code)}/room`);
}

/** Begins to make all exercises for all seats. */
export function checkRoom(code: string): Promise<Answer<RoomBody>> {
  return send("POST", `${of(code)}/room`, {});
}

/** @param number `undefined` for the next that is free. */
export function takeSeat(code: string, number: number | undefined): Promise<Answer<SeatJoinedBody>> {
  return send("POST", "/seats", { json: { code, ...(number === undefined ? {} : { number }) }, tellsSecret: true });
}

/** The lesson as this phone's seat may see it. */
export function seat(): Promise<Answer<SeatBody>> {
  return get("/seat");
}

export function openExercise(exercise: string): Promise<Answer<SittingBody>> {
  return send("POST", ofSeat(exercise), {});
}

export function answerExercise(exercise: string, answer: string | readonly string[]): Promise<Answer<AnsweredBody>> {
  return send("POST", `${ofSeat(exercise)}/answers`, { json: { answer } });
}

/** @param after How many hints there are already. */
export function nextHint(exercise: string, after: number): Promise<Answer<SittingBody>> {
  return send("POST", `${ofSeat(exercise)}/hints`, { json: { after } });
}

/** A problem of status 409: it is neither found nor shown to all. */
export function seeAnswer(exercise: string): Promise<Answer<SittingBody>> {
  return send("POST", `${ofSeat(exercise)}/reveal`, {});
}

function of(code: string): string {
  return `/lessons/${encodeURIComponent(code)}`;
}

function ofSeat(exercise: string): string {
  return `/seat/exercises/${encodeURIComponent(exercise)}`;
}
