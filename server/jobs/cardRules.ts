import { pressureIn } from "../../decoders/units.ts";
import type { JobCard, Wheel } from "./jobCard.ts";
import { type LampRule, type RuledVehicle, TYRE_TYPES, unLampRule, usLampRule } from "./pressure/lampRules.ts";

/** The US rule for a wheel of a card, in the placard's own unit; `undefined` without a placard. */
export function usRuleOf(card: JobCard, placardKpa: number | null): LampRule | undefined {
  if (placardKpa === null || placardKpa <= 0) return undefined;
  const unit = card.placardUnit ?? "kPa";
  const decimals = { kPa: 1, psi: 1, bar: 2 }[unit];
  const value = Number(pressureIn(unit, placardKpa).toFixed(decimals));
  return usLampRule({ value, unit }, TYRE_TYPES.find((type) => type === card.tyreType) ?? null, ruledVehicle(card));
}

/** The UN rule: a tyre that was measured warm by hand after driving is the warm one that it starts from. */
export function unRuleOf(card: JobCard, { handGaugeKpa }: Wheel): LampRule {
  return unLampRule(card.drivenLately === true && handGaugeKpa ? handGaugeKpa : null, ruledVehicle(card));
}

/** At or below which pressure the US rule wants the lamp lit; `null` where it says nothing. */
export function lampKpaOf(card: JobCard, placardKpa: number | null): number | null {
  const rule = usRuleOf(card, placardKpa);
  return rule?.kind === "ticks" ? (rule.ticks[0]?.kpa ?? null) : null;
}

function ruledVehicle({ kind }: JobCard): RuledVehicle {
  return {
    kind: kind === "motorcycle" || kind === "trailer" ? kind : "motor vehicle",
    dualWheelsOnAnAxle: kind === "dual rear wheels",
    ratedMassKg: null,
  };
}
