import type { LotBody, SpecimenBody } from "../wire/lots.ts";

export type VerdictWord = SpecimenBody["verdict"] | "left out";

/** The same shapes as on the pages, without their colours, and the word beside. */
export const MARKS: Readonly<Record<VerdictWord, string>> = {
  within: "",
  outside: "■ ",
  "cannot tell": "▲ ",
  "left out": "",
};

/** What is said of a specimen at the end: one that was left out counts for nothing, whatever was measured on it. */
export function verdictOf({ leftOut, verdict }: SpecimenBody): VerdictWord {
  return leftOut.trim() === "" ? verdict : "left out";
}

/**
 * The specimens by their verdicts; each stands in exactly one list.
 *
 * @throws RangeError if the lot's own counts say otherwise: two sums of one record would contradict each other.
 */
export function sortedByVerdict({ rows, counts }: LotBody): Readonly<Record<VerdictWord, readonly SpecimenBody[]>> {
  const those = (word: VerdictWord) => rows.filter((row) => verdictOf(row) === word);
  const sorted = {
    within: those("within"),
    outside: those("outside"),
    "cannot tell": those("cannot tell"),
    "left out": those("left out"),
  };
  const found = [sorted.within, sorted.outside, sorted["cannot tell"], sorted["left out"]].map(({ length }) => length);
  const told = [counts.within, counts.outside, counts.cannotTell, counts.leftOut];
  if (found.join() !== told.join())
    throw new RangeError(`the rows give ${found.join(", ")}, the counts ${told.join(", ")}`);
  return sorted;
}
