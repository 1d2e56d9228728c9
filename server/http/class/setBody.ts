import type { ExerciseSet } from "../../class/exercise.ts";
import type { Answer } from "../route.ts";
import type { ExerciseSetBody, ExerciseSetHeadBody } from "../wire/exercises.ts";
import type { KnownSet } from "./exerciseSets.ts";

/** What a set says of itself in a list. */
export function headOf(
  { id, title, teaches, level, minutes, bands }: ExerciseSet,
  own: boolean,
): Omit<ExerciseSetHeadBody, "exercises"> {
  return { id, title, teaches, level, minutes, bands: [...bands], own };
}

/** A set as it goes out: without answers. */
export function setBody({ set, own, revision }: KnownSet): ExerciseSetBody {
  const exercises = set.exercises.map(({ id, title, rung }) => ({ id, title, rung }));
  return { ...headOf(set, own), revision, exercises };
}

export function setAnswer(known: KnownSet, status = 200): Answer {
  return { status, body: setBody(known), headers: tagOf(known) };
}

export function tagOf({ revision }: KnownSet): Readonly<Record<string, string>> {
  return { ETag: `"${revision}"` };
}
