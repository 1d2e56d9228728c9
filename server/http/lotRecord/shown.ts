import { listed } from "../sheet/units.ts";

/** What a shown figure is held against by whoever reads it. */
export interface HeldAgainst {
  /** Limits, below and above, as they are shown. */
  readonly bounds: readonly number[];
  /** Of the expanded uncertainty, added to the figure before it is held against them: `[0, 1, -1]` for a guard band of one. */
  readonly multiples: readonly number[];
}

/**
 * Decimals, `least` or more, with which the shown figure and its shown uncertainty stand to every bound as the unrounded
 * do: outside never prints as the limit itself, and what a rule calls within never prints as beyond.
 *
 * @param expanded `null`: there is none.
 * @returns at most 9; a figure that close to its limit is on it.
 */
export function decimalsThatAgree(value: number, expanded: number | null, against: HeldAgainst, least: number): number {
  for (let decimals = least; decimals < MOST_DECIMALS; decimals++) {
    if (agrees(value, expanded ?? 0, against, decimals)) return decimals;
  }
  return MOST_DECIMALS;
}

const MOST_DECIMALS = 9;
/** Of what floating point leaves over. */
const SAME = 1e-9;

function agrees(value: number, expanded: number, { bounds, multiples }: HeldAgainst, decimals: number): boolean {
  const [shownValue, shownExpanded] = [Number(value.toFixed(decimals)), Number(expanded.toFixed(decimals))];
  // An uncertainty of nothing would claim that there is none.
  if (expanded > SAME && shownExpanded === 0) return false;
  return bounds.every((bound) =>
    multiples.every((multiple) => {
      const exact = side(value + multiple * expanded - bound);
      const shown = side(shownValue + multiple * shownExpanded - bound);
      return exact === shown || (shown === 0 && isInside(exact, bound, bounds));
    }),
  );
}

function side(difference: number): -1 | 0 | 1 {
  return Math.abs(difference) <= SAME ? 0 : difference > 0 ? 1 : -1;
}

/** Below the upper or above the lower limit: a figure there may print as the limit, which it keeps. */
function isInside(sideOfBound: number, bound: number, bounds: readonly number[]): boolean {
  return sideOfBound === (bound === Math.max(...bounds) ? -1 : 1);
}

/** With a true minus sign, and none before zero. */
export function shown(value: number, decimals: number): string {
  const figure = value.toFixed(decimals);
  if (!figure.startsWith("-")) return figure;
  return Number(figure) === 0 ? figure.slice(1) : `−${figure.slice(1)}`;
}

/** A figure as somebody typed it, without what floating point adds. */
export function plain(value: number): string {
  return String(Number(value.toPrecision(9))).replace("-", "−");
}

/** A figure and its unit, which no line break parts. */
export function withUnit(figure: string, unit: string): string {
  return unit === "" ? figure : `${figure}${NARROW}${unit}`;
}

/** A chance between 0 and 1 as per cent, to two digits; neither 0 nor 100 unless it is. */
export function percent(chance: number): string {
  const value = chance * 100;
  if (value <= 0 || value >= 100) return withUnit(value <= 0 ? "0" : "100", "%");
  if (value > 99) return value > 99.9 ? withUnit("over 99.9", "%") : withUnit(value.toFixed(1), "%");
  return value < 0.01 ? withUnit("under 0.01", "%") : withUnit(String(Number(value.toPrecision(2))), "%");
}

/** `1 to 4, 6 and 9`. */
export function numbersInWords(numbers: readonly number[]): string {
  const runs: [number, number][] = [];
  for (const number of numbers.toSorted((a, b) => a - b)) {
    const last = runs.at(-1);
    if (last && number === last[1] + 1) last[1] = number;
    else runs.push([number, number]);
  }
  const words = runs.flatMap(([from, to]) =>
    to - from > 1 ? [`${from} to ${to}`] : to > from ? [String(from), String(to)] : [String(from)],
  );
  return listed(words);
}

/** `1 specimen`, `2 specimens`. */
export function counted(count: number, thing: string): string {
  return `${count} ${thing}${count === 1 ? "" : "s"}`;
}

/** A sentence that ends as one. */
export function ended(sentence: string): string {
  const trimmed = sentence.trim();
  return trimmed === "" || /[.!?:…]$/.test(trimmed) ? trimmed : `${trimmed}.`;
}

/** A narrow space that never breaks. */
const NARROW = "\u202f";
