import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { z } from "zod";
import { writeScenario } from "../../../seeds/write.ts";
import { answered, hinted, told } from "../class/progress.ts";
import { headOf, setAnswer } from "../class/setBody.ts";
import { sittingBody } from "../class/sittingBody.ts";
import type { Sitting } from "../class/sittings.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Answer, type Route, route } from "../route.ts";
import {
  AnsweredBody,
  AnswerGivenBody,
  ExerciseSetBody,
  ExerciseSetHeadBody,
  SittingBody,
  SittingKeptBody,
  SittingNewBody,
} from "../wire/exercises.ts";
import { exerciseSetRoutes } from "./exerciseSets.ts";

const Empty = z.strictObject({});

/** Exercises, and one person's goes at them. */
export function exerciseRoutes(house: House): readonly Route[] {
  const { sittings, exerciseSets, arrivals } = house;
  const answer = ({ id, set, prepared, progress }: Sitting, status = 200): Answer => ({
    status,
    body: sittingBody(id, set, prepared, progress),
  });

  return [
    route({
      method: "get",
      path: "/exercise-sets",
      summary: "All sets of exercises, those that come with the house first",
      answers: { 200: { says: "The sets.", body: z.array(ExerciseSetHeadBody) } },
      handle: async () => ({
        status: 200,
        body: (await exerciseSets.all()).map(({ set, own }) => ({
          ...headOf(set, own),
          exercises: set.exercises.length,
        })),
      }),
    }),
    route({
      method: "get",
      path: "/exercise-sets/{id}",
      summary: "One set: what it teaches and its exercises, without their answers",
      answers: { 200: { says: "The set.", body: ExerciseSetBody, headers: { ETag: "its revision in quotes" } } },
      problems: ["not-found"],
      async handle({ params }) {
        return setAnswer(await exerciseSets.one(params["id"]));
      },
    }),
    ...exerciseSetRoutes(house),
    route({
      method: "post",
      path: "/exercise-sittings",
      summary: "Sit down at an exercise: a new draw of it",
      notes: "What is drawn is known to nobody beforehand. A sitting is forgotten when the server ends.",
      body: SittingNewBody,
      answers: { 201: { says: "What is shown, and what is asked.", body: SittingBody } },
      problems: ["not-found", "conflict"],
      async handle({ body }) {
        const { set } = await exerciseSets.one(body.set);
        if (!set.exercises.some(({ id }) => id === body.exercise)) {
          throw new Problem("not-found", `There is no exercise ${body.exercise} in the set ${set.id}.`, {
            nextSteps: [`See the set at /class/set/${set.id}.`],
          });
        }
        try {
          return answer(await sittings.begin(set, body.exercise), 201);
        } catch (error) {
          throw new Problem(
            "conflict",
            `The exercise does not work out: ${error instanceof Error ? error.message : error}`,
            {
              nextSteps: ["Mend the exercise where it is written, or take another."],
            },
          );
        }
      },
    }),
    route({
      method: "get",
      path: "/exercise-sittings/{id}",
      summary: "A sitting as it stands",
      answers: { 200: { says: "The sitting.", body: SittingBody } },
      problems: ["not-found"],
      handle: async ({ params }) => answer(sittingOf(params["id"])),
    }),
    route({
      method: "post",
      path: "/exercise-sittings/{id}/answers",
      summary: "Answer: judged by what it means",
      body: AnswerGivenBody,
      answers: { 200: { says: "Whether it is right, and what to say to it.", body: AnsweredBody } },
      problems: ["not-found"],
      async handle({ params, body }) {
        const sitting = sittingOf(params["id"]);
        const { right, says, after } = answered(sitting.prepared, sitting.progress, body.answer);
        sitting.progress = after;
        return { status: 200, body: { right, says, sitting: answer(sitting).body } };
      },
    }),
    route({
      method: "post",
      path: "/exercise-sittings/{id}/hints",
      summary: "Ask for the next hint",
      body: Empty,
      answers: { 200: { says: "The sitting with it.", body: SittingBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const sitting = sittingOf(params["id"]);
        sitting.progress = hinted(sitting.prepared, sitting.progress);
        return answer(sitting);
      },
    }),
    route({
      method: "post",
      path: "/exercise-sittings/{id}/reveal",
      summary: "Have it told: the answer, and the check ladder on the recording",
      body: Empty,
      answers: { 200: { says: "The sitting with the reveal.", body: SittingBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const sitting = sittingOf(params["id"]);
        sitting.progress = told(sitting.progress);
        return answer(sitting);
      },
    }),
    route({
      method: "post",
      path: "/exercise-sittings/{id}/recording",
      summary: "Keep what was on the air as a recording, once the exercise is over",
      body: Empty,
      answers: { 201: { says: "Which recording it is.", body: SittingKeptBody } },
      problems: ["not-found", "conflict"],
      async handle({ params }) {
        const { prepared, progress, set } = sittingOf(params["id"]);
        if (progress.state === "looking" || prepared.scenario === undefined) {
          throw new Problem(
            "conflict",
            "There is nothing to keep before the exercise is over, or it has no recording.",
            {
              nextSteps: ["Solve it or have it told first."],
            },
          );
        }
        const folder = await mkdtemp(join(tmpdir(), "wheelgram-class-"));
        try {
          const path = join(folder, "scenario.json");
          await writeFile(path, JSON.stringify(prepared.scenario));
          await writeScenario(path, join(folder, "class"));
          const name = `${set.title}: ${prepared.material.title}`;
          const kept = await arrivals.keep({ path: join(folder, "class.sigmf-meta"), name });
          if (!kept.ok) throw kept.error;
          return { status: 201, body: { hash: kept.value.recording.hash } };
        } finally {
          await rm(folder, { recursive: true, force: true });
        }
      },
    }),
  ];

  function sittingOf(id: string | undefined): Sitting {
    const sitting = sittings.sitting(id ?? "");
    if (sitting) return sitting;
    throw new Problem(
      "not-found",
      "There is no such sitting: it was never begun, or the server was started anew since.",
      {
        nextSteps: ["Open the exercise again."],
      },
    );
  }
}
