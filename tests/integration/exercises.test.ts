import { afterAll, describe, expect, it } from "vitest";
import { wrongGiven } from "../../server/class/answer/judge.ts";
import { toolAnswer } from "../../server/class/answer/toolAnswer.ts";
import { foundValue } from "../../server/class/findings.ts";
import { filled } from "../../server/class/texts.ts";
import { createAir } from "../../server/http/class/air.ts";
import { createExerciseSets } from "../../server/http/class/exerciseSets.ts";
import { type Prepared, prepareExercise } from "../../server/http/class/prepareExercise.ts";
import { readingGrade } from "../support/reading-grade.ts";

// Every shipped exercise, in several draws, is solved by what the tool itself finds, and its wrong answers are refused.

const DRAWS = 2;
const air = createAir();
afterAll(() => air.stop());

const sets = (await createExerciseSets().all()).map(({ set }) => set);
const only = process.env["EXERCISES"];

function foundBy({ drawn: { exercise, values, recorded, car } }: Prepared) {
  return toolAnswer(exercise.answer, foundValue(exercise.solvedBy, { values, recorded, car }));
}

/** What of the hints, the wrong answers, the reveal and the answer itself stands in what is shown before it is over. */
function leaksOf({ material, hints, reveal, drawn: { exercise, seed, values } }: Prepared): string[] {
  const shown = JSON.stringify(material);
  const secret = [seed, reveal.says, ...hints, ...exercise.wrong.map(({ says }) => filled(says, values))];
  // Bits, hex and words are looked for among what is shown: there they may stand.
  const { answer } = exercise;
  const [value = ""] = reveal.answer.split(", ±");
  if (answer.kind === "quantity" && value.includes(" ")) secret.push(` ${value}`);
  return secret.filter((words) => shown.includes(JSON.stringify(words).slice(1, -1)));
}

describe.each(sets)("$id", (set) => {
  const exercises = set.exercises.filter(({ id }) => only === undefined || `${set.id}/${id}`.includes(only));
  it.runIf(exercises.length > 0).each(exercises)(
    "$id is solved by the tool itself, and its wrong answers are refused",
    async (exercise) => {
      for (let draw = 0; draw < DRAWS; draw++) {
        const prepared = await prepareExercise(air, exercise, `draw ${draw}`);
        const { values } = prepared.drawn;
        const found = foundBy(prepared);
        expect(prepared.judge(found), `draw ${draw}: the tool found ${found}`).toEqual({
          right: true,
          says: "That is right.",
        });
        expect(prepared.hints.length).toBeGreaterThan(0);
        expect(leaksOf(prepared), `draw ${draw}`).toEqual([]);
        for (const wrong of exercise.wrong) {
          const given = wrongGiven(exercise.answer, wrong.answer, values);
          const judged = prepared.judge(given);
          expect(judged.right, `draw ${draw}: ${JSON.stringify(given)} is taken for right`).toBe(false);
        }
      }
    },
    60_000,
  );

  it.runIf(exercises.length > 0)("is read with ease", () => {
    const texts = exercises.flatMap(({ question, hints, reveal, wrong }) => [
      question,
      ...hints,
      reveal,
      ...wrong.map(({ says }) => says),
    ]);
    const all = texts.join(" ").replace(/\{[^}]*\}/g, "12");
    expect(readingGrade(all)).toBeLessThanOrEqual(9);
  });
});
