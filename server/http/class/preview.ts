import { statedAnswer, wrongGiven } from "../../class/answer/judge.ts";
import { toolAnswer } from "../../class/answer/toolAnswer.ts";
import { drawn, type Value } from "../../class/drawn.ts";
import type { Exercise, ExerciseSet } from "../../class/exercise.ts";
import { foundValue } from "../../class/findings.ts";
import { evaluated } from "../../class/formula.ts";
import { materialOf } from "../../class/material.ts";
import { scenarioOf } from "../../class/prepare.ts";
import { type Recorded, recordedOf } from "../../class/recorded.ts";
import { exerciseFaults } from "../../class/setComplaints.ts";
import { filled } from "../../class/texts.ts";
import type { PreviewBody } from "../wire/exercises.ts";
import type { Air } from "./air.ts";
import { type Prepared, prepareExercise } from "./prepareExercise.ts";
import { shownMaterial, shownReveal } from "./sittingBody.ts";

interface Fault {
  readonly key: string;
  readonly says: string;
}

/**
 * One draw of an exercise as a student sees it, what the tool itself finds in it, and all that is wrong with it.
 *
 * @throws RangeError for an exercise that the set lacks.
 */
export async function previewOf(
  air: Pick<Air, "play">,
  set: ExerciseSet,
  exerciseId: string,
  draw: number,
): Promise<PreviewBody> {
  const exercise = set.exercises.find(({ id }) => id === exerciseId);
  if (!exercise) throw new RangeError(`there is no exercise ${exerciseId} in ${set.id}`);
  const seed = `preview ${draw}`;
  const known = exerciseFaults(exercise);
  const told = (faults: readonly Fault[]) =>
    faults.map(({ key, says }) => ({ key, says: `“${exercise.title}”, ${key}: ${says}` }));
  let prepared: Prepared;
  try {
    // As it comes, though the tool may find another answer in it: that is what an author has to see.
    prepared = await prepareExercise(air, exercise, seed);
  } catch (error) {
    const found = await faultsOfDraw(air, exercise, seed);
    const faults = found.length > 0 ? found : [{ key: "scenario", says: wordsOf(error) }];
    return { shown: null, complaints: told([...known, ...faults]) };
  }
  const { values, recorded, car } = prepared.drawn;
  const faults: Fault[] = [...known];
  for (const [i, { answer }] of exercise.wrong.entries()) {
    if (prepared.judge(wrongGiven(exercise.answer, answer, values)).right) {
      faults.push({ key: `wrong[${i}].answer`, says: "is taken for right" });
    }
  }
  let found: Value | undefined;
  const find = () => {
    found = foundValue(exercise.solvedBy, { values, recorded, car });
  };
  tried("solvedBy", find, faults);
  const agrees = found !== undefined && prepared.judge(toolAnswer(exercise.answer, found)).right;
  if (found !== undefined && !agrees) {
    faults.push({ key: "solvedBy", says: `the tool finds ${found}, which is not the stated answer` });
  }
  return {
    shown: {
      material: shownMaterial(prepared.material),
      hints: [...prepared.hints],
      reveal: shownReveal(prepared.reveal),
      found: found === undefined ? "nothing" : wordsOfFound(exercise, found),
      agrees,
    },
    complaints: told(faults),
  };
}

function wordsOfFound({ answer }: Exercise, found: Value): string {
  const given = toolAnswer(answer, typeof found === "number" ? Number(found.toPrecision(9)) : found);
  return typeof given === "string" ? given : given.join(", ");
}

/** Step by step what of a draw does not work out, each with its key: one mistake does not hide the next. */
async function faultsOfDraw(air: Pick<Air, "play">, exercise: Exercise, seed: string): Promise<Fault[]> {
  const faults: Fault[] = [];
  const look = (key: string, what: () => void) => tried(key, what, faults);
  const values = new Map(drawn({ draws: exercise.draws }, seed));
  for (const [name, formula] of Object.entries(exercise.worked ?? {})) {
    look(`worked.${name}`, () => void values.set(name, evaluated(formula, values)));
  }
  let scenario: unknown;
  look("scenario", () => {
    scenario = scenarioOf(exercise, values, seed);
  });
  let recorded: Recorded | undefined;
  if (scenario !== undefined) {
    try {
      const { records, seconds } = await air.play({ scenario });
      recorded = recordedOf(records, seconds, []);
    } catch (error) {
      faults.push({ key: "scenario", says: wordsOf(error) });
    }
  }
  // What hangs on a recording that does not come, or on a car, is not complained of for that alone.
  const isBare = recorded === undefined && (exercise.scenario !== undefined || exercise.car !== undefined);
  if (isBare) return faults;
  for (const [name, finding] of Object.entries(exercise.found ?? {})) {
    look(`found.${name}`, () => void values.set(name, foundValue(finding, { values, recorded, car: undefined })));
  }
  look("question", () => void filled(exercise.question, values));
  for (const [i, one] of exercise.gives.entries()) {
    const key = one.kind === "signal" ? `gives[${i}].caption` : `gives[${i}]`;
    look(key, () => {
      if (one.kind === "signal") return void filled(one.caption, values);
      const alone = { ...exercise, gives: [one], question: "-" };
      return void materialOf({ exercise: alone, seed, values, recorded, car: undefined, pictures: [] });
    });
  }
  for (const [i, hint] of exercise.hints.entries()) look(`hints[${i}]`, () => void filled(hint, values));
  look("answer.is", () => void statedAnswer(exercise.answer, values));
  look("reveal", () => void filled(exercise.reveal, values));
  exercise.wrong.forEach(({ answer, says }, i) => {
    look(`wrong[${i}].answer`, () => void wrongGiven(exercise.answer, answer, values));
    look(`wrong[${i}].says`, () => void filled(says, values));
  });
  look("solvedBy", () => void foundValue(exercise.solvedBy, { values, recorded, car: undefined }));
  return faults;
}

function tried(key: string, what: () => void, faults: Fault[]): void {
  try {
    what();
  } catch (error) {
    // Whatever a file asks for that is not there throws a sentence.
    faults.push({ key, says: wordsOf(error) });
  }
}

function wordsOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
