import type { FigureBody, LotBody } from "../../../server/http/wire/lots.ts";

/** What the rule makes of the values of one figure, in its unit. */
export interface Zones {
  readonly lower: number | null;
  readonly upper: number | null;
  /** Stretches in which nobody can tell, ascending. */
  readonly unsure: readonly { readonly from: number; readonly to: number }[];
}

type Rule = LotBody["rule"];

/**
 * Where around its limits nobody can tell, for a figure with its uncertainty; `undefined` where it has no limits. It is
 * for drawing: the verdict itself comes from the server.
 *
 * @source ILAC-G8:09/2019, 4.2.2 and 4.2.3 (guard bands, w = r U); for stated risks JCGM 106:2012, clause 7, with a normal
 *   distribution and U = 2 u.
 */
export function zonesOf({ lower, upper, expanded }: FigureBody, rule: Rule): Zones | undefined {
  if (lower === null && upper === null) return undefined;
  const [inside, outside] = widthsOf(expanded ?? 0, rule);
  const unsure = [
    ...(lower === null ? [] : [{ from: lower - outside, to: lower + inside }]),
    ...(upper === null ? [] : [{ from: upper - inside, to: upper + outside }]),
  ].filter(({ from, to }) => to > from);
  const [first, second] = unsure;
  // Nothing can be called within: the two are one.
  if (first && second && first.to >= second.from)
    return { lower, upper, unsure: [{ from: first.from, to: second.to }] };
  return { lower, upper, unsure };
}

/** How far the zone reaches to the inside and to the outside of a limit. */
function widthsOf(expanded: number, rule: Rule): readonly [number, number] {
  switch (rule.kind) {
    case "simple":
      return [0, 0];
    case "guard":
      return [rule.multiple * expanded, rule.multiple * expanded];
    case "risk":
      return [(normalQuantile(rule.falseAccept) * expanded) / 2, (normalQuantile(rule.falseReject) * expanded) / 2];
  }
}

/**
 * How many standard deviations from the middle the tail of this chance begins; for 0 to 0.5.
 *
 * @source Abramowitz and Stegun, 26.2.23: off by less than 4.5e-4.
 */
function normalQuantile(tail: number): number {
  if (tail >= 0.5) return 0;
  const t = Math.sqrt(-2 * Math.log(tail));
  return t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
}
