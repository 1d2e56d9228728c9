import type { FigureBody } from "../../../server/http/wire/lots.ts";

/** What the rule makes of the values of one figure, in its unit. */
export interface Zones {
  readonly lower: number | null;
  readonly upper: number | null;
  /** Stretches in which nobody can tell, ascending. */
  readonly unsure: readonly { readonly from: number; readonly to: number }[];
}

/** The zones of a figure by the borders that the server found; `undefined` where it has no limits. */
export function zonesOf(figure: FigureBody): Zones | undefined {
  const { lower, upper, acceptFrom, acceptTo, rejectBelow, rejectAbove } = figure;
  if (lower === null && upper === null) return undefined;
  // Nothing can be called within: from one border to the other nobody can tell.
  if (acceptFrom === null && acceptTo === null && rejectBelow !== null && rejectAbove !== null) {
    return { lower, upper, unsure: [{ from: rejectBelow, to: rejectAbove }] };
  }
  const unsure = [
    ...(rejectBelow === null || acceptFrom === null ? [] : [{ from: rejectBelow, to: acceptFrom }]),
    ...(acceptTo === null || rejectAbove === null ? [] : [{ from: acceptTo, to: rejectAbove }]),
  ];
  return { lower, upper, unsure: unsure.filter(({ from, to }) => to > from) };
}
