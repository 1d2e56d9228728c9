import { lineBetween, MARGIN_PX, QUIET, RULE, text, WIDTH_PX } from "./figure.ts";

export interface Tick {
  readonly at: number;
  readonly words: string;
}

/** An axis from left to right, with its name below its right end. */
export function bottomAxis(y: number, from: number, to: number, ticks: readonly Tick[], name: string): string[] {
  return [
    lineBetween(from, y, to, y),
    ...ticks.flatMap(({ at, words }) => [lineBetween(at, y, at, y + 6), text(words, at, y + 22, { anchor: "middle" })]),
    text(name, to, y + 44, { anchor: "end", fill: QUIET }),
  ];
}

/** Marks for heights, as rules across with the number at the left, and the name above them. */
export function leftAxis(x: number, ticks: readonly Tick[], name: string, nameAt: number): string[] {
  return [
    ...ticks.flatMap(({ at, words }) => [
      lineBetween(x, at, WIDTH_PX - MARGIN_PX, at, { stroke: RULE, width: 0.5 }),
      text(words, x - 8, at + 5, { anchor: "end" }),
    ]),
    text(name, MARGIN_PX, nameAt, { fill: QUIET }),
  ];
}
