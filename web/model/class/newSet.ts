import type { ExerciseSetFileBody } from "../../../server/http/wire/exercises.ts";

/** A set to begin with. */
export function newSet(): ExerciseSetFileBody {
  return {
    format: "wheelgram exercises",
    version: 1,
    id: "my-set",
    title: "A new set",
    teaches: "Say here what it teaches.",
    level: "first steps",
    minutes: 20,
    bands: [],
    exercises: [],
  };
}
