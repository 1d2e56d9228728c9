import type { ExerciseSet } from "../../class/exercise.ts";
import type { Material } from "../../class/material.ts";
import type { Reveal } from "../../class/reveal.ts";
import type { MaterialBody, RevealBody, SittingBody } from "../wire/exercises.ts";
import type { Prepared } from "./prepareExercise.ts";
import type { Progress } from "./sittings.ts";

/** A go at an exercise as it goes out: the reveal only once it is solved or told. */
export function sittingBody(
  id: string,
  set: Pick<ExerciseSet, "id" | "title">,
  { material, hints, reveal, scenario }: Prepared,
  progress: Progress,
): SittingBody {
  return {
    id,
    set: { id: set.id, title: set.title },
    material: shownMaterial(material),
    state: progress.state,
    tries: progress.tries,
    hints: hints.slice(0, progress.hints),
    reveal: progress.state === "looking" ? null : shownReveal(reveal),
    hasRecording: scenario !== undefined,
  };
}

/** What is shown before the reveal, as it goes out. */
export function shownMaterial(material: Material): MaterialBody {
  return {
    ...material,
    gives: material.gives.map((one) => structuredClone(one)) as MaterialBody["gives"],
    cautions: [...material.cautions],
    asks: structuredClone(material.asks) as MaterialBody["asks"],
  };
}

export function shownReveal(reveal: Reveal): RevealBody {
  return structuredClone(reveal) as RevealBody;
}
