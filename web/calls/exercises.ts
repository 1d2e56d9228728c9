import type { ExerciseSetHeadBody } from "../../server/http/wire/exercises.ts";
import { type Answer, get } from "../api.ts";

export function exerciseSets(): Promise<Answer<readonly ExerciseSetHeadBody[]>> {
  return get("/exercise-sets");
}
