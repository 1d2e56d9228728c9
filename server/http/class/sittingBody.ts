import type { ExerciseSet } from "../../class/exercise.ts";
import type { SittingBody } from "../wire/exercises.ts";
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
    material: {
      ...material,
      gives: material.gives.map((one) => structuredClone(one)) as SittingBody["material"]["gives"],
      cautions: [...material.cautions],
      asks: structuredClone(material.asks) as SittingBody["material"]["asks"],
    },
    state: progress.state,
    tries: progress.tries,
    hints: hints.slice(0, progress.hints),
    reveal: progress.state === "looking" ? null : (structuredClone(reveal) as SittingBody["reveal"]),
    hasRecording: scenario !== undefined,
  };
}
