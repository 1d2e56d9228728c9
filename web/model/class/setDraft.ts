import type { ExerciseSetFileBody, PreviewBody } from "../../../server/http/wire/exercises.ts";
import type { ProblemBody } from "../../../server/http/wire.ts";
import { type ExerciseDraft, exerciseDraft, exerciseOf, type Fault } from "./exerciseDraft.ts";

/** A set as it stands in boxes. */
export interface SetDraft {
  readonly id: string;
  readonly title: string;
  readonly teaches: string;
  readonly level: string;
  readonly minutes: string;
  readonly bands: readonly string[];
  readonly exercises: readonly ExerciseDraft[];
}

export const LEVELS = ["first steps", "working knowledge", "hard cases"] as const;
export const BANDS = ["315 MHz", "433.92 MHz"] as const;

export function setDraft({ id, title, teaches, level, minutes, bands, exercises }: ExerciseSetFileBody): SetDraft {
  return { id, title, teaches, level, minutes: String(minutes), bands, exercises: exercises.map(exerciseDraft) };
}

/** The set as its file would have it, and where a text is no JSON: with such a place it cannot be written. */
export function fileOf(draft: SetDraft): { readonly file: unknown; readonly faults: readonly Fault[] } {
  const { id, title, teaches, level, bands } = draft;
  const minutes = Number(draft.minutes);
  const all = draft.exercises.map(exerciseOf);
  return {
    file: {
      format: "wheelgram exercises",
      version: 1,
      id,
      title,
      teaches,
      level,
      minutes: draft.minutes.trim() === "" || Number.isNaN(minutes) ? draft.minutes : minutes,
      bands: BANDS.filter((band) => bands.includes(band)),
      exercises: all.map(({ exercise }) => exercise),
    },
    faults: all.flatMap(({ faults }, i) => faults.map(({ key, says }) => ({ key: `exercises[${i}].${key}`, says }))),
  };
}

/** Complaints of the server about a set, each at its place. */
export function faultsOfProblem({ complaints = [] }: Pick<ProblemBody, "complaints">): Fault[] {
  return complaints.map(({ path, found, allowed }) => ({
    key: path.replace(/^set\./, ""),
    says: `Found ${found}, allowed ${allowed}.`,
  }));
}

/** Complaints of a preview, each at its place in the set. */
export function faultsOfPreview({ complaints }: Pick<PreviewBody, "complaints">, exercise: number): Fault[] {
  return complaints.map(({ key, says }) => ({ key: `exercises[${exercise}].${key}`, says }));
}

/** What is wrong with a box: everything at its key or below it; `undefined` for nothing. */
export function wrongAt(faults: readonly Fault[], key: string): string | undefined {
  const mine = faults.filter((fault) => fault.key === key || /^[.[]/.test(below(fault.key, key)));
  if (mine.length === 0) return undefined;
  return mine.map(({ key: at, says }) => (at === key ? says : `${at.slice(at.indexOf("]") + 2)}: ${says}`)).join(" ");
}

/** Faults that no box of an exercise shows, such as of an exercise as a whole. */
export function faultsBeside(faults: readonly Fault[], shown: readonly string[]): Fault[] {
  return faults.filter(({ key }) => !shown.some((one) => key === one || /^[.[]/.test(below(key, one))));
}

/** What of a key comes after another one; nothing where it does not begin so. */
function below(key: string, begin: string): string {
  return key.startsWith(begin) ? key.slice(begin.length) : "";
}

/** The exercises with one moved, taken away or changed. */
export function withExercise(draft: SetDraft, at: number, exercise: ExerciseDraft | undefined): SetDraft {
  const exercises = [...draft.exercises];
  if (exercise === undefined) exercises.splice(at, 1);
  else exercises[at] = exercise;
  return { ...draft, exercises };
}
