import type { Lot } from "./lot.ts";
import { gaugeParts, pressureLimit } from "./pressure.ts";
import { combine } from "./statistics/budget.ts";
import { decide } from "./statistics/decision.ts";
import { uncertaintyRatio } from "./statistics/uncertaintyRatio.ts";

/** Whether the gauge is good enough for the limit, before anything is tested. */
export interface GaugeRatio {
  readonly ratio: number;
  readonly enough: boolean;
  readonly gaugeExpandedKpa: number;
  readonly neededExpandedKpa: number;
  readonly widestWithinKpa: number;
  readonly says: string;
}

/** @returns `undefined` until limit and gauge are entered. */
export function gaugeRatio({ limits, gauge, rule, setPoints }: Lot): GaugeRatio | undefined {
  const parts = gaugeParts(gauge);
  // The narrowest of the limits decides.
  const halves = setPoints.flatMap(({ kpa }) => pressureLimit(limits, kpa) ?? []);
  const half = halves.length > 0 ? Math.min(...halves) : limits.pressureKpa;
  if (parts === null || half === null || !(half > 0)) return undefined;
  const budget = combine(parts);
  const gaugeExpandedKpa = budget.expanded;
  if (gaugeExpandedKpa === 0) return undefined;
  const { ratio, enough, neededExpanded, worstFalseAccept } = uncertaintyRatio(half, gaugeExpandedKpa);
  const { acceptTo } = decide(0, budget, { lower: -half, upper: half }, rule);
  const widestWithinKpa = Math.max(0, acceptTo ?? 0);
  const told = `The limit is ± ${shown(half)} kPa, the gauge good to U = ${shown(gaugeExpandedKpa)} kPa (95 %): ${ratio.toFixed(1)} to 1`;
  const cost =
    rule.kind === "simple"
      ? `By simple acceptance up to ${(100 * worstFalseAccept).toFixed(1)} % of all specimens could be called within and be outside.`
      : widestWithinKpa === 0
        ? "By this rule no specimen at all could be called within."
        : `By this rule only errors up to ${shown(widestWithinKpa)} kPa can be called within, by the gauge alone.`;
  const says = enough
    ? `Good enough: ${told.charAt(0).toLowerCase()}${told.slice(1)}, and 4 to 1 is asked for. ${cost}`
    : `Too coarse: ${told.charAt(0).toLowerCase()}${told.slice(1)}, where 4 to 1 is asked for. Take a gauge of U = ${shown(neededExpanded)} kPa or better, or a wider limit. ${cost}`;
  return { ratio, enough, gaugeExpandedKpa, neededExpandedKpa: neededExpanded, widestWithinKpa, says };
}

function shown(kpa: number): string {
  return String(Number(kpa.toPrecision(3)));
}
