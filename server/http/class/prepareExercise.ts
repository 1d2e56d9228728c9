import { FAULTS, type Fault } from "../../../seeds/cars/story.ts";
import { type Given, type Judged, judged, wrongGiven } from "../../class/answer/judge.ts";
import { drawn, scenarioSeed, type Values } from "../../class/drawn.ts";
import type { Exercise } from "../../class/exercise.ts";
import { type Drawn, type Material, materialOf } from "../../class/material.ts";
import { scenarioOf, withFound } from "../../class/prepare.ts";
import { recordedOf, type WakeAt } from "../../class/recorded.ts";
import { type Reveal, revealOf } from "../../class/reveal.ts";
import { filled } from "../../class/texts.ts";
import type { Air } from "./air.ts";
import type { PictureOrder } from "./airTask.ts";
import { burstInQuestion, carCase, carPicture, carRecorded } from "./carCase.ts";
import { drawCar } from "./carDraw.ts";

/** One draw of an exercise, with all that is shown and judged of it. */
export interface Prepared {
  readonly drawn: Drawn;
  readonly material: Material;
  readonly hints: readonly string[];
  readonly reveal: Reveal;
  readonly judge: (given: Given) => Judged;
  /** The scenario that its recording was made from; `undefined` for one without. */
  readonly scenario: unknown;
}

const COLUMNS = 360;
const MARGIN_SECONDS = 0.002;

/**
 * Draws an exercise for a seed, puts it on the air, and makes of it what is shown. The same for the same seed.
 *
 * @throws Error with a sentence where the exercise asks for what its draw does not have.
 */
export async function prepareExercise(air: Pick<Air, "play">, exercise: Exercise, seed: string): Promise<Prepared> {
  const values = drawn(exercise, seed);
  if (exercise.car) return prepareCar(air, exercise, exercise.car.fault, seed, values);
  const scenario = scenarioOf(exercise, values, seed);
  const orders = pictureOrders(exercise);
  const played = scenario === undefined ? undefined : await air.play({ scenario, pictures: orders });
  const recorded = played && recordedOf(played.records, played.seconds, wakesIn(scenario));
  return preparedFrom({ exercise, seed, values, recorded, car: undefined, pictures: played?.pictures ?? [] }, scenario);
}

/** The reveal walks the burst that came when the wheel in question was woken, where one came. */
async function prepareCar(air: Pick<Air, "play">, exercise: Exercise, fault: string, seed: string, values: Values) {
  if (!isFault(fault)) throw new Error(`There is no cause ${fault}; there are ${FAULTS.join(", ")}.`);
  const signals = pictureOrders(exercise).slice(0, -1);
  const car = await drawCar(air, fault, scenarioSeed(seed), (story) => [...signals, carPicture(story, COLUMNS)]);
  const walks = exercise.walks ?? burstInQuestion(car);
  return preparedFrom(
    {
      exercise: walks === undefined ? exercise : { ...exercise, walks },
      seed,
      values,
      recorded: carRecorded(car),
      car: carCase(car),
      pictures: car.air.pictures,
    },
    car.scenario,
  );
}

function isFault(fault: string): fault is Fault {
  return FAULTS.some((one) => one === fault);
}

/** Of the given signals in their order, and last of the burst that the reveal walks. */
function pictureOrders(exercise: Exercise): PictureOrder[] {
  const signals = exercise.gives.filter((one) => one.kind === "signal");
  return [
    ...signals.map(({ burst, fromSeconds, toSeconds }) =>
      burst === undefined
        ? { fromSeconds: fromSeconds ?? 0, toSeconds: toSeconds ?? Number.MAX_SAFE_INTEGER, columns: COLUMNS }
        : { burst, marginSeconds: MARGIN_SECONDS, columns: COLUMNS },
    ),
    { burst: exercise.walks ?? 0, marginSeconds: MARGIN_SECONDS, columns: COLUMNS },
  ];
}

function preparedFrom(base: Drawn, scenario: unknown): Prepared {
  const { exercise, recorded, car, pictures } = base;
  const values = withFound(exercise, base.values, recorded, car);
  const all: Drawn = { ...base, values, pictures: pictures.slice(0, -1) };
  // A reply that cannot be given is found now, not by whoever answers so.
  for (const { answer, says } of exercise.wrong) {
    wrongGiven(exercise.answer, answer, values);
    filled(says, values);
  }
  return {
    drawn: all,
    material: materialOf(all),
    hints: exercise.hints.map((hint) => filled(hint, values)),
    reveal: revealOf(all, pictures.at(-1)),
    judge: (given) => judged(exercise, values, given),
    scenario,
  };
}

function wakesIn(scenario: unknown): WakeAt[] {
  const { events = [] } = scenario as {
    readonly events?: readonly { readonly kind: string; readonly atSeconds: number; readonly position?: string }[];
  };
  return events
    .filter(({ kind }) => kind === "wake")
    .map(({ atSeconds, position }) => ({ atSeconds, position }))
    .toSorted((a, b) => a.atSeconds - b.atSeconds);
}
