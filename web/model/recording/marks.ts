import type { Bounds } from "./range.ts";

/** A moment with a name. The two that a measure is taken between are called A and B. */
export interface Mark {
  readonly name: string;
  readonly atSeconds: number;
}

/** So many can be told apart on a page: A and B, and seven that are kept by a name. */
export const MOST_MARKS = 9;
export const MOST_NAMED = MOST_MARKS - 2;
const LONGEST_NAME = 20;

export type Measured = "A" | "B";

/** Sets or moves one mark; `atSeconds` is kept inside the recording. One too many leaves the marks as they are. */
export function withMark(marks: readonly Mark[], name: string, atSeconds: number, bounds: Bounds): readonly Mark[] {
  const mark = { name, atSeconds: Math.min(bounds.seconds, Math.max(0, atSeconds)) };
  const at = marks.findIndex((one) => one.name === name);
  if (at >= 0) return marks.with(at, mark);
  return isMeasured(name) || named(marks).length < MOST_NAMED ? [...marks, mark] : marks;
}

/** Those that are kept by a name. */
export function named(marks: readonly Mark[]): readonly Mark[] {
  return marks.filter(({ name }) => !isMeasured(name));
}

export function isMeasured(name: string): name is Measured {
  return name === "A" || name === "B";
}

export function withoutMark(marks: readonly Mark[], name: string): readonly Mark[] {
  return marks.filter((one) => one.name !== name);
}

/** A name as it may stand in an address and on the page: short, none twice; a number where nothing was typed. */
export function freeName(marks: readonly Mark[], typed: string): string {
  const wanted = typed.trim().slice(0, LONGEST_NAME);
  const taken = new Set(["A", "B", ...marks.map(({ name }) => name)]);
  if (wanted !== "" && !taken.has(wanted)) return wanted;
  for (let n = wanted === "" ? 1 : 2; ; n++) {
    const name = wanted === "" ? String(n) : `${wanted.slice(0, LONGEST_NAME - 3)} ${n}`;
    if (!taken.has(name)) return name;
  }
}

export function markCalled(marks: readonly Mark[], name: Measured): number | undefined {
  return marks.find((one) => one.name === name)?.atSeconds;
}
