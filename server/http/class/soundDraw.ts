import { toolAnswer } from "../../class/answer/toolAnswer.ts";
import type { Exercise } from "../../class/exercise.ts";
import { foundValue } from "../../class/findings.ts";
import type { Air } from "./air.ts";
import { type Prepared, prepareExercise } from "./prepareExercise.ts";

/**
 * The first draw of an exercise, from the seed on, that the tool itself solves: nobody is handed one where the noise had
 * its way. The same for the same seed.
 *
 * @throws Error with a sentence where no draw of a few works out.
 */
export async function soundDraw(air: Pick<Air, "play">, exercise: Exercise, seed: string): Promise<Prepared> {
  let why = new Error("It was never drawn.");
  for (let draw = 0; draw < MOST_DRAWS; draw++) {
    try {
      const prepared = await prepareExercise(air, exercise, draw === 0 ? seed : `${seed}|draw ${draw}`);
      const { values, recorded, car } = prepared.drawn;
      const found = foundValue(exercise.solvedBy, { values, recorded, car });
      if (prepared.judge(toolAnswer(exercise.answer, found)).right) return prepared;
      why = new Error("The tool itself finds another answer in it than the stated one. Its preview shows both.");
    } catch (error) {
      why = error instanceof Error ? error : new Error(String(error));
    }
  }
  throw why;
}

const MOST_DRAWS = 4;
