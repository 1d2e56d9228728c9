import type { ExerciseSetFileBody } from "../../../server/http/wire/exercises.ts";

type Exercise = ExerciseSetFileBody["exercises"][number];
type Answer = Exercise["answer"];
export type AnswerKind = Answer["kind"];

/** Parts of an exercise that are written as JSON. */
export const JSON_PARTS = ["draws", "worked", "scenario", "car", "found", "gives", "solvedBy"] as const;
export type JsonPart = (typeof JSON_PARTS)[number];

export interface OptionDraft {
  readonly id: string;
  readonly words: string;
  /** Other words for it, with commas between. */
  readonly also: string;
}

/** An exercise as it stands in boxes: texts, whether they fit or not. */
export interface ExerciseDraft {
  readonly id: string;
  readonly title: string;
  /** Empty for none. */
  readonly rung: string;
  readonly question: string;
  readonly hints: readonly string[];
  readonly kind: AnswerKind;
  /** Formula, text or id; for several the ids with commas between. */
  readonly is: string;
  readonly unit: string;
  readonly tolerance: string;
  readonly options: readonly OptionDraft[];
  /** Of words: others that do as well. */
  readonly also: string;
  readonly wrong: readonly { readonly answer: string; readonly says: string }[];
  readonly reveal: string;
  readonly walks: string;
  readonly sources: readonly string[];
  readonly cautions: readonly string[];
  readonly json: Readonly<Record<JsonPart, string>>;
}

/** A place in an exercise, as in its file, and what is wrong there. */
export interface Fault {
  readonly key: string;
  readonly says: string;
}

export function exerciseDraft(exercise: Exercise): ExerciseDraft {
  const { answer } = exercise;
  return {
    id: exercise.id,
    title: exercise.title,
    rung: exercise.rung ?? "",
    question: exercise.question,
    hints: exercise.hints,
    kind: answer.kind,
    is: answer.kind === "choices" ? commas(answer.are) : typeof answer.is === "string" ? answer.is : commas(answer.is),
    unit: answer.kind === "quantity" ? answer.unit : "1",
    tolerance: answer.kind === "quantity" ? String(answer.tolerance) : "",
    options:
      "options" in answer ? answer.options.map(({ also, ...one }) => ({ ...one, also: commas(also ?? []) })) : [],
    also: answer.kind === "words" ? commas(answer.also) : "",
    // A comma at the end of a single one tells it from a text.
    wrong: exercise.wrong.map(({ answer: given, says }) => ({
      answer: typeof given === "string" ? given : given.length === 1 ? `${given[0]},` : commas(given),
      says,
    })),
    reveal: exercise.reveal,
    walks: exercise.walks === undefined ? "" : String(exercise.walks),
    sources: exercise.sources,
    cautions: exercise.cautions ?? [],
    json: {
      draws: jsonText(exercise.draws),
      worked: jsonText(exercise.worked),
      scenario: jsonText(exercise.scenario),
      car: jsonText(exercise.car),
      found: jsonText(exercise.found),
      gives: jsonText(exercise.gives),
      solvedBy: jsonText(exercise.solvedBy),
    },
  };
}

/** The exercise as it would stand in its file, and where a text is no JSON. Whether it fits the server tells. */
export function exerciseOf(draft: ExerciseDraft): { readonly exercise: unknown; readonly faults: readonly Fault[] } {
  const faults: Fault[] = [];
  const json: Partial<Record<JsonPart, unknown>> = {};
  for (const part of JSON_PARTS) {
    const text = draft.json[part].trim();
    if (text === "") continue;
    try {
      json[part] = JSON.parse(text);
    } catch (error) {
      faults.push({ key: part, says: `This is not JSON: ${error instanceof Error ? error.message : String(error)}.` });
    }
  }
  const exercise = {
    id: draft.id,
    title: draft.title,
    rung: draft.rung === "" ? null : draft.rung,
    question: draft.question,
    draws: json.draws,
    worked: json.worked,
    scenario: json.scenario,
    car: json.car,
    found: json.found,
    gives: json.gives ?? [],
    answer: answerOfDraft(draft),
    wrong: draft.wrong.map(({ answer, says }) => ({ answer: wrongOf(draft.kind, answer), says })),
    hints: draft.hints,
    reveal: draft.reveal,
    walks: draft.walks.trim() === "" ? undefined : numberOrText(draft.walks),
    solvedBy: json.solvedBy,
    cautions: draft.cautions.length === 0 ? undefined : draft.cautions,
    sources: draft.sources,
  };
  return { exercise: bare(exercise), faults };
}

/** An exercise to begin with: one that works out, so that there is something to change. */
export function newExercise(id: string): ExerciseDraft {
  return exerciseDraft({
    id,
    title: "A new exercise",
    rung: null,
    question: "A sensor reads {absolute} kPa absolute. The air around has 100 kPa. What does a gauge show?",
    draws: { absolute: { from: 300, to: 340, step: 5 } },
    gives: [{ kind: "text", says: "Gauge pressure is over the air around." }],
    answer: { kind: "quantity", is: "absolute - 100", unit: "kPa", tolerance: 1 },
    wrong: [{ answer: "absolute", says: "That is over nothing, not over the air around." }],
    hints: ["Take the pressure of the air away."],
    reveal: "Gauge is absolute less the air around: {absolute} − 100.",
    solvedBy: { formula: "absolute - 100" },
    sources: ["common practice, no source"],
  });
}

/** An id that no other exercise has. */
export function freeExerciseId(taken: readonly string[], wish = "exercise"): string {
  for (let n = 1; ; n++) {
    const id = `${wish}-${n}`;
    if (!taken.includes(id)) return id;
  }
}

function answerOfDraft({ kind, is, unit, tolerance, options, also }: ExerciseDraft): unknown {
  const filed = options.map(({ id, words, also: others }) =>
    bare({ id, words, also: others.trim() === "" ? undefined : parts(others) }),
  );
  switch (kind) {
    case "quantity":
      return { kind, is, unit, tolerance: numberOrText(tolerance) };
    case "bits":
    case "hex":
      return { kind, is };
    case "words":
      return { kind, is, also: parts(also) };
    case "choice":
      return { kind, options: filed, is };
    case "choices":
      return { kind, options: filed, are: parts(is) };
    case "order":
      return { kind, options: filed, is: parts(is) };
  }
}

function wrongOf(kind: AnswerKind, text: string): unknown {
  return (kind === "choices" || kind === "order") && text.includes(",") ? parts(text) : text;
}

function numberOrText(text: string): number | string | undefined {
  const trimmed = text.trim().replace(",", ".");
  if (trimmed === "") return undefined;
  const number = Number(trimmed);
  return Number.isNaN(number) ? text : number;
}

function jsonText(value: unknown): string {
  return value === undefined ? "" : JSON.stringify(value, undefined, 2);
}

function commas(all: readonly string[]): string {
  return all.join(", ");
}

function parts(text: string): string[] {
  return text
    .split(",")
    .map((part) => part.trim())
    .filter((part) => part !== "");
}

/** Without the keys that say nothing. */
function bare(given: Readonly<Record<string, unknown>>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined));
}
