import type { BoardCellBody, LessonBody } from "../../../server/http/wire/lessons.ts";

/** What a cell of the board shows: one of five shapes with its word, and the figures that go with it. */
export interface CellWords {
  readonly shape: CellShape;
  readonly word: string;
  /** Such as `3 tries, 1 hint, 4 min`; empty where there is nothing to count. */
  readonly figures: string;
}

export const CELL_SHAPES = ["not begun", "looking", "stuck", "solved", "shown"] as const;
export type CellShape = (typeof CELL_SHAPES)[number];

/** For the legend. */
export const SHAPE_MEANS: Readonly<Record<CellShape, string>> = {
  "not begun": "not opened yet",
  looking: "open, not solved yet",
  stuck: "open for more than three minutes, or wrong three times",
  solved: "found the answer",
  shown: "was shown the answer",
};

export function cellWords({ state, stuck, tries, hints, lookedSeconds }: BoardCellBody): CellWords {
  const shape = shapeOf(state, stuck);
  const figures = [
    tries > 0 ? counted(tries, "try", "tries") : "",
    hints > 0 ? counted(hints, "hint", "hints") : "",
    state === "looking" && lookedSeconds >= 60 ? `${Math.floor(lookedSeconds / 60)} min` : "",
  ];
  return { shape, word: shape, figures: figures.filter((part) => part !== "").join(", ") };
}

function shapeOf(state: BoardCellBody["state"], stuck: boolean): CellShape {
  if (stuck) return "stuck";
  return state === "told" ? "shown" : state;
}

function counted(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`;
}

/** One sentence of the whole class. */
export function classSays({ board, seats, exercises, endedAt }: LessonBody): string {
  if (board.length === 0) return endedAt === null ? "Nobody has sat down yet." : "The lesson has ended.";
  const stuck = board.filter(({ cells }) => cells.some((cell) => cell.stuck)).length;
  const all = board.length * exercises.length;
  const solved = exercises.reduce((sum, one) => sum + one.solved, 0);
  const sat = `${counted(board.length, "seat", "seats")} of ${seats} taken`;
  const state = stuck === 0 ? "nobody is stuck" : stuck === 1 ? "one is stuck" : `${stuck} are stuck`;
  return `${sat}, ${solved} of ${all} exercises solved, ${state}${endedAt === null ? "" : "; the lesson has ended"}.`;
}

/** The rows in columns side by side, each of about as many. @param most Columns that fit. */
export function inColumns<T>(rows: readonly T[], most: number): readonly (readonly T[])[] {
  const columns = Math.max(1, Math.min(most, Math.ceil(rows.length / LEAST_ROWS)));
  const each = Math.ceil(rows.length / columns);
  return Array.from({ length: columns }, (_, i) => rows.slice(i * each, (i + 1) * each)).filter(
    (column) => column.length > 0,
  );
}

/** A column of fewer is not worth its head. */
const LEAST_ROWS = 8;

/** An address as it is read aloud and typed: without its scheme and the code. */
export function addressInWords(address: string): string {
  return address.replace(/#.*$/, "");
}

/** The code in two groups, for the eye. */
export function codeInGroups(code: string): string {
  return code.length > 3 ? `${code.slice(0, 3)} ${code.slice(3)}` : code;
}
