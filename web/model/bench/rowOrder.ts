import type { SpecimenBody } from "../../../server/http/wire/lots.ts";

/** Orders of the specimens, with what they are called. */
export const ORDERS = [
  ["number", "their numbers"],
  ["verdict", "the verdict, outside first"],
  ["error", "the largest error first"],
] as const;
export type Order = (typeof ORDERS)[number][0];

/** The same rows in another order; those that are alike in it stay in that of their numbers. */
export function ordered(rows: readonly SpecimenBody[], order: Order): readonly SpecimenBody[] {
  const byNumber = rows.toSorted((a, b) => a.number - b.number);
  if (order === "number") return byNumber;
  const rank = order === "verdict" ? verdictRank : (row: SpecimenBody) => -largestError(row);
  return byNumber.toSorted((a, b) => rank(a) - rank(b));
}

const RANKS: Readonly<Record<SpecimenBody["verdict"], number>> = { outside: 0, "cannot tell": 1, within: 2 };

function verdictRank({ leftOut, verdict }: SpecimenBody): number {
  return leftOut === "" ? RANKS[verdict] : 3;
}

function largestError({ cells }: SpecimenBody): number {
  return Math.max(-1, ...cells.map(({ errorKpa }) => (errorKpa === null ? -1 : Math.abs(errorKpa))));
}
