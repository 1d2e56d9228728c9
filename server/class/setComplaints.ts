import type { Complaint } from "../../decoders/layouts/complaint.ts";
import type { Answer, Exercise, ExerciseSet } from "./exercise.ts";

/** What is wrong with a set as a whole, though every key fits: two exercises at one address. */
export function complaintsOfSet({ exercises }: Pick<ExerciseSet, "exercises">): Complaint[] {
  const first = new Map<string, number>();
  return exercises.flatMap(({ id }, i) => {
    const before = first.get(id);
    if (before === undefined) {
      first.set(id, i);
      return [];
    }
    return [{ path: `exercises[${i}].id`, found: id, allowed: `an id of its own; exercises[${before}] has this one` }];
  });
}

/** What keys alone cannot say of an exercise, before it is drawn: `key` as it stands in the file. */
export function exerciseFaults(exercise: Exercise): { readonly key: string; readonly says: string }[] {
  const faults = [...answerFaults(exercise.answer)];
  if (exercise.scenario !== undefined && exercise.car !== undefined) {
    faults.push({ key: "car", says: "stands beside a scenario; an exercise has one of the two" });
  }
  if (exercise.scenario === undefined && exercise.car === undefined && exercise.walks !== undefined) {
    faults.push({ key: "walks", says: "names a burst, but nothing is on the air" });
  }
  return faults;
}

function answerFaults(answer: Answer): { readonly key: string; readonly says: string }[] {
  if (!("options" in answer)) return [];
  const ids = answer.options.map(({ id }) => id);
  const faults: { key: string; says: string }[] = [];
  const double = ids.find((id, i) => ids.indexOf(id) !== i);
  if (double !== undefined) faults.push({ key: "answer.options", says: `has ${double} twice` });
  const unknown = (named: readonly string[]) => named.filter((id) => !id.includes("{") && !ids.includes(id));
  switch (answer.kind) {
    case "choice":
      for (const id of unknown([answer.is])) faults.push({ key: "answer.is", says: `names ${id}, which is no option` });
      break;
    case "choices":
      for (const id of unknown(answer.are)) faults.push({ key: "answer.are", says: `names ${id}, which is no option` });
      break;
    case "order":
      for (const id of unknown(answer.is)) faults.push({ key: "answer.is", says: `names ${id}, which is no option` });
      if (answer.is.length !== ids.length) {
        faults.push({ key: "answer.is", says: `puts ${answer.is.length} of ${ids.length} options in order` });
      }
      break;
  }
  return faults;
}
