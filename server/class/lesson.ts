import { RUNGS, type RungName } from "../../decoders/records.ts";

// What a class board is drawn from: seats by number, never names, and how far each came.

/** How far a seat came with one exercise. One that it never opened has none. */
export interface ExerciseProgress {
  /** `told`: it was shown the answer before it had found it. */
  readonly state: "looking" | "solved" | "told";
  /** Answers that it gave while it was looking; the same wrong one twice in a row counts once. */
  readonly tries: number;
  /** Hints that it took. */
  readonly hints: number;
  readonly changedAt: string;
  /** How long it looked, without the stretch that is under way. */
  readonly lookedMs: number;
  /** The last answer as JSON text, so that one sent twice counts once. */
  readonly last: string | null;
}

/** All that is kept of a seat's work. */
export interface SeatWork {
  /** The exercise that is open, and since when. */
  readonly open: { readonly exercise: string; readonly since: string } | null;
  readonly progress: Readonly<Record<string, ExerciseProgress>>;
}

export const NO_WORK: SeatWork = { open: null, progress: {} };

/** The exercise as a board needs it. */
export interface BoardExercise {
  readonly id: string;
  readonly title: string;
  readonly rung: RungName | null;
}

export interface BoardSeat {
  readonly number: number;
  readonly work: SeatWork;
}

export interface BoardCell {
  readonly exercise: string;
  readonly state: "not begun" | ExerciseProgress["state"];
  readonly tries: number;
  readonly hints: number;
  readonly lookedSeconds: number;
  readonly stuck: boolean;
}

export interface BoardRung {
  /** `null`: exercises that belong to no rung. */
  readonly rung: RungName | null;
  /** Seats, ascending. */
  readonly stuck: readonly number[];
  readonly says: string;
}

export interface Board {
  /** By number; each has a cell for every exercise, in their order. */
  readonly seats: readonly { readonly number: number; readonly cells: readonly BoardCell[] }[];
  /** Only rungs that exercises of the set belong to, from the lowest. */
  readonly rungs: readonly BoardRung[];
}

/** A seat that looks at one exercise for longer is stuck. Common practice, no source. */
const STUCK_MS = 3 * 60_000;
/** Or one that was wrong so often. Common practice, no source. */
const STUCK_TRIES = 3;

/** The board at a moment. @param nowMs Milliseconds since 1970; of a lesson that ended, its end. */
export function boardOf(exercises: readonly BoardExercise[], seats: readonly BoardSeat[], nowMs: number): Board {
  const rows = seats
    .toSorted((a, b) => a.number - b.number)
    .map(({ number, work }) => ({ number, cells: exercises.map(({ id }) => cellOf(work, id, nowMs)) }));
  const ladder = [...RUNGS, null].filter((rung) => exercises.some((exercise) => exercise.rung === rung));
  const rungs = ladder.map((rung): BoardRung => {
    const own = new Set(exercises.filter((exercise) => exercise.rung === rung).map(({ id }) => id));
    const stuck = rows
      .filter(({ cells }) => cells.some((cell) => cell.stuck && own.has(cell.exercise)))
      .map(({ number }) => number);
    return { rung, stuck, says: stuckSays(rung, stuck) };
  });
  return { seats: rows, rungs };
}

function cellOf(work: SeatWork, exercise: string, nowMs: number): BoardCell {
  const progress = work.progress[exercise];
  if (!progress) return { exercise, state: "not begun", tries: 0, hints: 0, lookedSeconds: 0, stuck: false };
  const lookedMs = progress.lookedMs + (progress.state === "looking" ? underWayMs(work, exercise, nowMs) : 0);
  const stuck = progress.state === "looking" && (lookedMs > STUCK_MS || progress.tries >= STUCK_TRIES);
  const { state, tries, hints } = progress;
  return { exercise, state, tries, hints, lookedSeconds: Math.round(lookedMs / 1000), stuck };
}

function underWayMs({ open }: SeatWork, exercise: string, nowMs: number): number {
  return open?.exercise === exercise ? Math.max(0, nowMs - Date.parse(open.since)) : 0;
}

/** Such as `stuck at check: seats 4, 7, 12`. */
function stuckSays(rung: RungName | null, stuck: readonly number[]): string {
  const where = rung === null ? "elsewhere" : `at ${RUNG_WORDS[rung]}`;
  if (stuck.length === 0) return `nobody stuck ${where}`;
  return `stuck ${where}: ${stuck.length === 1 ? "seat" : "seats"} ${stuck.join(", ")}`;
}

const RUNG_WORDS: Readonly<Record<RungName, string>> = {
  receiver: "receiver",
  burst: "burst",
  band: "band",
  symbols: "symbols",
  sync: "sync",
  "line-code": "line code",
  length: "length",
  check: "check",
  values: "values",
};

/** The exercise is the one that the seat looks at from now on. */
export function opened(work: SeatWork, exercise: string, at: string): SeatWork {
  const left = work.open && work.open.exercise !== exercise ? paused(work, at) : work;
  const before = left.progress[exercise];
  const open = left.open?.exercise === exercise ? left.open : { exercise, since: at };
  const progress = before ?? { state: "looking", tries: 0, hints: 0, changedAt: at, lookedMs: 0, last: null };
  return { open, progress: { ...left.progress, [exercise]: progress } };
}

/** An answer was judged. One that comes after the exercise was solved or told changes nothing. */
export function answered(work: SeatWork, exercise: string, answer: unknown, right: boolean, at: string): SeatWork {
  const now = opened(work, exercise, at);
  const before = now.progress[exercise];
  const last = JSON.stringify(answer) ?? "null";
  if (before?.state !== "looking" || (!right && before.last === last)) return now;
  const tried = { ...before, tries: before.tries + 1, last, changedAt: at };
  return right
    ? settled({ ...now, progress: { ...now.progress, [exercise]: tried } }, exercise, "solved", at)
    : { ...now, progress: { ...now.progress, [exercise]: tried } };
}

/** @param hints How many it has now. */
export function hinted(work: SeatWork, exercise: string, hints: number, at: string): SeatWork {
  const now = opened(work, exercise, at);
  const before = now.progress[exercise];
  if (!before || hints <= before.hints) return now;
  return { ...now, progress: { ...now.progress, [exercise]: { ...before, hints, changedAt: at } } };
}

/** It was shown the answer; whoever had found it by then has it solved. */
export function told(work: SeatWork, exercise: string, at: string): SeatWork {
  const now = opened(work, exercise, at);
  return now.progress[exercise]?.state === "looking" ? settled(now, exercise, "told", at) : now;
}

function settled(work: SeatWork, exercise: string, state: "solved" | "told", at: string): SeatWork {
  const { progress } = paused(work, at);
  const before = progress[exercise];
  if (!before) return work;
  return { open: null, progress: { ...progress, [exercise]: { ...before, state, changedAt: at } } };
}

/** What is open is closed, and how long it was looked at is added up. */
function paused(work: SeatWork, at: string): SeatWork {
  const { open, progress } = work;
  const before = open && progress[open.exercise];
  if (!open || !before) return { open: null, progress };
  const lookedMs = before.lookedMs + (before.state === "looking" ? underWayMs(work, open.exercise, Date.parse(at)) : 0);
  return { open: null, progress: { ...progress, [open.exercise]: { ...before, lookedMs } } };
}
