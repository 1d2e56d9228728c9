import type { KnownSet } from "../class/exerciseSets.ts";
import { previewOf } from "../class/preview.ts";
import { setAnswer, setBody, tagOf } from "../class/setBody.ts";
import { refuseFromNetwork } from "../guard.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import {
  ExerciseSetBody,
  ExerciseSetFileBody,
  ExerciseSetNewBody,
  PreviewAskedBody,
  PreviewBody,
} from "../wire/exercises.ts";

const TAG = { ETag: "its revision in quotes" };
/** A hundred exercises, each with a scenario of its own. */
const MOST_SET_BYTES = 4 * 2 ** 20;

/** Sets of this house's own: written, brought in, taken out. Files and previews hold answers, so they stay here. */
export function exerciseSetRoutes({ exerciseSets, air }: Pick<House, "exerciseSets" | "air">): readonly Route[] {
  function refuseStale(current: KnownSet): never {
    throw new Problem("stale", `The newest revision is ${current.revision}.`, {
      current: setBody(current),
      headers: tagOf(current),
    });
  }

  function gone(id: string | undefined): never {
    throw new Problem("not-found", `There is no set of exercises ${id}.`, { nextSteps: ["See the list at /class."] });
  }

  return [
    route({
      method: "post",
      path: "/exercise-sets",
      summary: "Take in a set of exercises: a file of one, or a copy of one that is here",
      notes: "Where its id is taken it gets another one; all else of it stays as it is.",
      body: ExerciseSetNewBody,
      mostBytes: MOST_SET_BYTES,
      answers: { 201: { says: "The set.", body: ExerciseSetBody, headers: { ...TAG, Location: "its address" } } },
      problems: ["not-found"],
      async handle({ body }) {
        const given = "copyOf" in body ? copyOf((await exerciseSets.one(body.copyOf)).set) : body;
        const known = await exerciseSets.add(given);
        const { headers, ...rest } = setAnswer(known, 201);
        return { ...rest, headers: { ...headers, Location: `/api/v1/exercise-sets/${known.set.id}` } };
      },
    }),
    route({
      method: "put",
      path: "/exercise-sets/{id}",
      summary: "Write a set of one's own anew",
      notes: "Its id stays, whatever the file says.",
      body: ExerciseSetFileBody,
      mostBytes: MOST_SET_BYTES,
      ifMatch: true,
      answers: { 200: { says: "The set as it is now.", body: ExerciseSetBody, headers: TAG } },
      problems: ["not-found", "conflict"],
      async handle({ params, body, revision }) {
        const result = await exerciseSets.change(params["id"], revision, body);
        if (result.ok) return setAnswer(result.value);
        return result.error === "stale" ? refuseStale(result.current) : gone(params["id"]);
      },
    }),
    route({
      method: "delete",
      path: "/exercise-sets/{id}",
      summary: "Remove a set of one's own, for good",
      notes: "Whoever may want it back takes its file first.",
      ifMatch: true,
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found", "conflict"],
      async handle({ params, revision }) {
        const result = await exerciseSets.remove(params["id"], revision);
        if (result.ok) return { status: 204 };
        return result.error === "stale" ? refuseStale(result.current) : gone(params["id"]);
      },
    }),
    route({
      method: "get",
      path: "/exercise-sets/{id}/file",
      summary: "A set of one's own as its file, with all answers; at the computer itself",
      answers: {
        200: {
          says: "The file, which can be taken in as it is.",
          body: "file",
          types: ["application/json"],
          headers: { ...TAG, "Content-Disposition": "a name for it" },
        },
      },
      problems: ["not-found", "conflict", "only-here"],
      async handle({ params, request }) {
        refuseFromNetwork(request);
        const known = await exerciseSets.ownOne(params["id"]);
        return {
          status: 200,
          body: `${JSON.stringify(known.set, undefined, 2)}\n`,
          headers: {
            ...tagOf(known),
            "Content-Type": "application/json; charset=utf-8",
            "Content-Disposition": `attachment; filename="${known.set.id}.exercises.json"`,
          },
        };
      },
    }),
    route({
      method: "post",
      path: "/exercise-previews",
      summary: "Try a draw of an exercise that is being written; at the computer itself",
      notes: "Nothing is kept. The answer tells the answer of the exercise.",
      body: PreviewAskedBody,
      mostBytes: MOST_SET_BYTES,
      notKept: true,
      answers: { 200: { says: "The draw, and what is wrong with it.", body: PreviewBody } },
      problems: ["not-found", "only-here"],
      async handle({ body, request }) {
        refuseFromNetwork(request);
        const { set, exercise, draw } = body;
        if (!set.exercises.some(({ id }) => id === exercise)) {
          throw new Problem("not-found", `There is no exercise ${exercise} in the set.`, {
            nextSteps: ["Name one that is in it."],
          });
        }
        return { status: 200, body: await previewOf(air, set, exercise, draw) };
      },
    }),
  ];
}

function copyOf(set: ExerciseSetFileBody): ExerciseSetFileBody {
  return { ...set, title: `${set.title.slice(0, 110)} (copy)` };
}
