import { type DecisionRule, worstFalseAccept } from "./statistics/decision.ts";

/** The decision rule in words, with the risk that it states. */
export function ruleWords(rule: DecisionRule): string {
  const risk = percent(worstFalseAccept(rule));
  switch (rule.kind) {
    case "simple":
      return `Simple acceptance (ILAC-G8:09/2019, 4.2.1): by the value alone. A specimen right on the limit is called within with a chance of up to ${risk}.`;
    case "guard":
      return `Guard band w = ${rule.multiple === 1 ? "U" : `${rule.multiple} U`} (ILAC-G8:09/2019, 4.2.3): within if value and band lie inside the limit, outside if both lie beyond it, cannot tell between. Chance of a false "within" at most ${risk} for each figure.`;
    case "risk":
      return `Stated risk (JCGM 106:2012): within if the chance of being outside is at most ${percent(rule.falseAccept)}, outside if the chance of being within is at most ${percent(rule.falseReject)}, cannot tell between.`;
    default:
      return rule satisfies never;
  }
}

function percent(share: number): string {
  return `${Number((100 * share).toPrecision(2))} %`;
}
