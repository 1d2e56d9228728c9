import type { FrameLine } from "./frameLines.ts";
import { isUnread } from "./frames.ts";

/** In which order the frame lines stand. */
export const ORDERS = ["first heard", "wheel", "identity", "failures", "by hand"] as const;
export type LineOrder = (typeof ORDERS)[number];

export const ORDER_WORDS: Readonly<Record<LineOrder, string>> = {
  "first heard": "first heard first",
  wheel: "by wheel",
  identity: "by sensor ID",
  failures: "most failures first",
  "by hand": "by hand",
};

/**
 * The lines in an order; those that it says nothing of keep the places they have among each other, behind the rest.
 *
 * @param wheelOf Where a sensor sits, as a rank of its wheel; `undefined` where no job says so.
 * @param byHand Keys of lines.
 */
export function ordered(
  lines: readonly FrameLine[],
  order: LineOrder,
  wheelOf: (identity: string) => number | undefined,
  byHand: readonly string[],
): FrameLine[] {
  const rank = new Map(lines.map((line, i) => [line.key, rankOf(line, i)]));
  const of = (line: FrameLine) => rank.get(line.key) ?? "";
  return lines.toSorted((a, b) => (of(a) < of(b) ? -1 : of(a) > of(b) ? 1 : 0));

  function rankOf(line: FrameLine, place: number): string {
    switch (order) {
      case "first heard":
        return digits(place);
      case "wheel": {
        const wheel = line.isIdentity ? wheelOf(line.title) : undefined;
        return digits(wheel ?? FAR) + digits(place);
      }
      case "identity":
        return (line.isIdentity ? `0${line.title}` : "1") + digits(place);
      case "failures":
        return digits(FAR - line.frames.filter(isUnread).length) + digits(place);
      case "by hand": {
        const at = byHand.indexOf(line.key);
        return digits(at === -1 ? FAR : at) + digits(place);
      }
    }
  }
}

/** The keys with one of them moved by so many places; it stops at the ends. */
export function movedKey(keys: readonly string[], key: string, by: number): string[] {
  const at = keys.indexOf(key);
  if (at === -1) return [...keys];
  const rest = keys.toSpliced(at, 1);
  return rest.toSpliced(Math.min(rest.length, Math.max(0, at + by)), 0, key);
}

const FAR = 999_999;

function digits(value: number): string {
  return String(value).padStart(6, "0");
}
