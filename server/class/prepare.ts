import { scenarioSeed, type Values } from "./drawn.ts";
import type { Exercise } from "./exercise.ts";
import { foundValue } from "./findings.ts";
import type { CarCase, Recorded } from "./recorded.ts";
import { filledJson } from "./texts.ts";

/** The scenario of one draw, as of seeds; `undefined` for an exercise without one. */
export function scenarioOf(exercise: Exercise, values: Values, seed: string): unknown {
  if (exercise.scenario === undefined) return undefined;
  const filledIn = filledJson(exercise.scenario, values);
  return { ...(filledIn as object), seed: scenarioSeed(seed) };
}

/** The drawn values with what is found in the recording beside them. */
export function withFound(
  exercise: Exercise,
  values: Values,
  recorded: Recorded | undefined,
  car: CarCase | undefined,
): Values {
  const all = new Map(values);
  for (const [name, finding] of Object.entries(exercise.found ?? {})) {
    all.set(name, foundValue(finding, { values: all, recorded, car }));
  }
  return all;
}
