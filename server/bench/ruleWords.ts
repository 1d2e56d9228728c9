import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import type { DecisionRule } from "./statistics/decision.ts";

/** The decision rule in words, with the risk that it states. */
export function ruleWords(rule: DecisionRule): string {
  switch (rule.kind) {
    case "simple":
      return `Simple acceptance (ILAC-G8:09/2019, 4.2.1): by the value alone. A specimen right on the limit is called within with a chance of up to 50 %.`;
    case "guard":
      return `Guard band w = ${rule.multiple === 1 ? "U" : `${rule.multiple} U`} (ILAC-G8:09/2019, 4.2.3): within if value and band lie inside the limit, outside if both lie beyond it, cannot tell between. Chance of a false "within", and of a false "outside", at most ${percent(normalCdf(-EXPANDED * rule.multiple, 0, 1))} for each figure, normal and with one limit.`;
    case "risk":
      return `Stated risk (JCGM 106:2012): within if the chance of being outside is at most ${percent(rule.falseAccept)}, outside if the chance of being within is at most ${percent(rule.falseReject)}, cannot tell between.`;
    default:
      return rule satisfies never;
  }
}

/** Of an expanded uncertainty of 95 %, in standard uncertainties. */
const EXPANDED = normalQuantile(0.975, 0, 1);

function percent(share: number): string {
  return `${Number((100 * share).toPrecision(2))} %`;
}
