import type { SittingBody } from "../../../server/http/wire/exercises.ts";

/** How somebody fared at one exercise, the last time on this device. */
export interface Fared {
  /** Answers that were given. */
  readonly tries: number;
  readonly hints: number;
  readonly state: SittingBody["state"];
  /** How often it was solved, in all. */
  readonly solved: number;
  /** RFC 3339. */
  readonly lastAt: string;
}

/** By set and exercise. */
export type ClassProgress = Readonly<Record<string, Readonly<Record<string, Fared>>>>;

export type Standing = "missed" | "unseen" | "solved";

export const NO_PROGRESS: ClassProgress = {};
const VERSION = 1;
const STATES: readonly string[] = ["looking", "solved", "told"] satisfies readonly SittingBody["state"][];

/** What the device kept; entries that cannot be read are left out, the others stay. */
export function progressFrom(text: string | null): ClassProgress {
  const kept = objectOf(parsed(text));
  if (kept["version"] !== VERSION) return NO_PROGRESS;
  const sets = Object.entries(objectOf(kept["sets"])).map(([set, exercises]) => {
    const fared = Object.entries(objectOf(exercises)).flatMap(([exercise, one]) => {
      const read = faredFrom(one);
      return read === undefined ? [] : [[exercise, read] as const];
    });
    return [set, Object.fromEntries(fared)] as const;
  });
  return Object.fromEntries(sets.filter(([, fared]) => Object.keys(fared).length > 0));
}

/** The text for the device; `null` where there is nothing to keep. */
export function progressToKeep(progress: ClassProgress): string | null {
  return Object.keys(progress).length === 0 ? null : JSON.stringify({ version: VERSION, sets: progress });
}

/** The progress after an answer, a hint or the reveal of a sitting. Before the first of them it says nothing. */
export function withSitting(
  progress: ClassProgress,
  before: SittingBody,
  after: SittingBody,
  at: string,
): ClassProgress {
  const { set, material, tries, state, hints } = after;
  const known = progress[set.id]?.[material.id];
  const solved = (known?.solved ?? 0) + (state === "solved" && before.state !== "solved" ? 1 : 0);
  const fared: Fared = { tries, hints: hints.length, state, solved, lastAt: at };
  return { ...progress, [set.id]: { ...progress[set.id], [material.id]: fared } };
}

/** Missed: told, or with a wrong answer or a hint the last time; solved: at once and by oneself. */
export function standingOf(fared: Fared | undefined): Standing {
  if (fared === undefined) return "unseen";
  const { state, tries, hints } = fared;
  const wrong = tries - (state === "solved" ? 1 : 0);
  if (state === "told" || wrong > 0 || hints > 0) return "missed";
  return state === "solved" ? "solved" : "unseen";
}

const REVIEW: readonly Standing[] = ["missed", "unseen", "solved"];

/** What was missed first, then what nobody has looked at, then what was solved; within these as in the set. */
export function reviewOrder<Of extends { readonly id: string }>(
  exercises: readonly Of[],
  fared: Readonly<Record<string, Fared>> | undefined,
): Of[] {
  return REVIEW.flatMap((standing) => exercises.filter(({ id }) => standingOf(fared?.[id]) === standing));
}

/** How an exercise went, in a few words. */
export function faredWords(fared: Fared | undefined): string {
  if (fared === undefined) return "not looked at";
  const { state, tries, hints } = fared;
  const wrong = tries - (state === "solved" ? 1 : 0);
  const spent = [
    ...(wrong > 0 ? [`${wrong} wrong`] : []),
    ...(hints > 0 ? [`${hints} ${hints === 1 ? "hint" : "hints"}`] : []),
  ];
  const with_ = spent.length === 0 ? "" : `, ${spent.join(", ")}`;
  switch (state) {
    case "solved":
      return `solved${with_}`;
    case "told":
      return `told${with_}`;
    case "looking":
      return `begun${with_}`;
  }
}

/** How many of a set were solved, and how many to go over again. */
export function setWords(count: number, fared: Readonly<Record<string, Fared>> | undefined): string {
  const all = Object.values(fared ?? {});
  if (all.length === 0) return count === 0 ? "" : "not begun";
  const solved = all.filter(({ state }) => state === "solved").length;
  const missed = all.filter((one) => standingOf(one) === "missed").length;
  return `${solved} of ${count} solved${missed > 0 ? `, ${missed} to review` : ""}`;
}

function faredFrom(value: unknown): Fared | undefined {
  const { tries, hints, state, solved, lastAt } = objectOf(value);
  if (!isCount(tries) || !isCount(hints) || !isCount(solved) || !isState(state) || typeof lastAt !== "string") {
    return undefined;
  }
  return { tries, hints, state, solved, lastAt };
}

function isCount(value: unknown): value is number {
  return Number.isSafeInteger(value) && Number(value) >= 0;
}

function isState(value: unknown): value is SittingBody["state"] {
  return typeof value === "string" && STATES.includes(value);
}

function parsed(text: string | null): unknown {
  if (text === null) return undefined;
  try {
    return JSON.parse(text);
  } catch {
    return undefined; // written by something else, or cut short
  }
}

function objectOf(value: unknown): Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null && !Array.isArray(value) ? { ...value } : {};
}
