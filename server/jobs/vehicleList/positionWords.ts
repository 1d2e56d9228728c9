/** A position that words name, in the card's words, and how many of the words name it. */
export interface PositionRead {
  readonly position: string;
  readonly taken: number;
}

/**
 * The position that is named from word `from` on: `LF`, `front left`, `axle 2 left outer`; `undefined` if none is.
 *
 * LF is left front here and everywhere in the bay, never low frequency.
 *
 * @param words In any case.
 */
export function positionAt(words: readonly string[], from: number): PositionRead | undefined {
  const found: string[] = [];
  let at = from;
  for (; at < words.length; at++) {
    const word = words[at]!.toLowerCase();
    const number = words[at + 1];
    if (word === "axle" && number !== undefined && /^\d{1,2}$/.test(number)) {
      found.push(`axle ${Number(number)}`);
      at++;
    } else {
      const meant = MEANS.get(word);
      // `LF LF` or `left right` names two, so the second begins anew.
      if (meant === undefined || meant.some((part) => found.some((other) => rankOf(other) === rankOf(part)))) break;
      found.push(...meant);
    }
  }
  if (at === from) return undefined;
  return { position: found.toSorted((a, b) => rankOf(a) - rankOf(b)).join(" "), taken: at - from };
}

/** Whether two names are of one position, whatever the order of their words: `front left` and `left front`. */
export function samePosition(a: string, b: string): boolean {
  return keyOf(a) === keyOf(b);
}

function keyOf(position: string): string {
  const words = position.toLowerCase().split(/[\s-]+/);
  const read = positionAt(words, 0);
  return read?.taken === words.length ? read.position : words.toSorted().join(" ");
}

/** One rank is named once in a position; the ranks stand in this order. */
const RANKS: readonly (readonly string[])[] = [["left", "right"], ["front", "rear"], ["inner", "outer"], ["spare"]];

const MEANS: ReadonlyMap<string, readonly string[]> = new Map<string, readonly string[]>([
  ...RANKS.flat().map((word) => [word, [word]] as [string, string[]]),
  ["back", ["rear"]],
  ["inside", ["inner"]],
  ["outside", ["outer"]],
  ["lf", ["left", "front"]],
  ["fl", ["left", "front"]],
  ["rf", ["right", "front"]],
  ["fr", ["right", "front"]],
  ["lr", ["left", "rear"]],
  ["rl", ["left", "rear"]],
  ["rr", ["right", "rear"]],
  ["lri", ["left", "rear", "inner"]],
  ["lro", ["left", "rear", "outer"]],
  ["rri", ["right", "rear", "inner"]],
  ["rro", ["right", "rear", "outer"]],
]);

function rankOf(word: string): number {
  return RANKS.findIndex((rank) => rank.includes(word)); // an axle stands before all others
}
