import type {
  AnsweredBody,
  ExerciseSetBody,
  ExerciseSetFileBody,
  ExerciseSetHeadBody,
  PreviewBody,
  SittingBody,
  SittingKeptBody,
} from "../../server/http/wire/exercises.ts";
import { type Answer, get, send } from "../api.ts";

export function exerciseSets(): Promise<Answer<readonly ExerciseSetHeadBody[]>> {
  return get("/exercise-sets");
}

export function exerciseSet(id: string): Promise<Answer<ExerciseSetBody>> {
  return get(setAt(id));
}

/** @param set What a file says; whether it is a set at all the server tells. */
export function addExerciseSet(set: unknown): Promise<Answer<ExerciseSetBody>> {
  return send("POST", "/exercise-sets", { json: set });
}

export function copyExerciseSet(id: string): Promise<Answer<ExerciseSetBody>> {
  return send("POST", "/exercise-sets", { json: { copyOf: id } });
}

/** A problem of status 412: somebody else changed the set after `revision`. */
export function changeExerciseSet(id: string, revision: number, set: unknown): Promise<Answer<ExerciseSetBody>> {
  return send("PUT", setAt(id), { json: set, revision });
}

export function removeExerciseSet(id: string, revision: number): Promise<Answer<undefined>> {
  return send("DELETE", setAt(id), { revision });
}

/** With all answers; at the computer itself alone. */
export function exerciseSetFile(id: string): Promise<Answer<ExerciseSetFileBody>> {
  return get(`${setAt(id)}/file`);
}

/** Where the file of a set lies, to be saved. */
export function exerciseSetFileAddress(id: string): string {
  return `/api/v1${setAt(id)}/file`;
}

export function previewExercise(set: unknown, exercise: string, draw: number): Promise<Answer<PreviewBody>> {
  return send("POST", "/exercise-previews", { json: { set, exercise, draw } });
}

export function beginSitting(set: string, exercise: string): Promise<Answer<SittingBody>> {
  return send("POST", "/exercise-sittings", { json: { set, exercise } });
}

/** A problem of status 404 once the server was started anew. */
export function sitting(id: string): Promise<Answer<SittingBody>> {
  return get(sittingAt(id));
}

export function answerSitting(id: string, answer: string | string[]): Promise<Answer<AnsweredBody>> {
  return send("POST", `${sittingAt(id)}/answers`, { json: { answer } });
}

export function hintSitting(id: string): Promise<Answer<SittingBody>> {
  return send("POST", `${sittingAt(id)}/hints`, { json: {} });
}

export function revealSitting(id: string): Promise<Answer<SittingBody>> {
  return send("POST", `${sittingAt(id)}/reveal`, { json: {} });
}

/** Keeps what was on the air among the recordings. */
export function keepSitting(id: string): Promise<Answer<SittingKeptBody>> {
  return send("POST", `${sittingAt(id)}/recording`, { json: {} });
}

function setAt(id: string): string {
  return `/exercise-sets/${encodeURIComponent(id)}`;
}

function sittingAt(id: string): string {
  return `/exercise-sittings/${encodeURIComponent(id)}`;
}
