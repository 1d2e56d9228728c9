import { kpaFrom, type PressureUnit } from "../../../decoders/units.ts";
import minimums from "./minimumActivation.json" with { type: "json" };

export type TyreType = (typeof TYRE_TYPES)[number];
/** The rows of Table 1 of FMVSS 138, in its order. */
export const TYRE_TYPES = [
  "P-metric, standard load",
  "P-metric, extra load",
  "load range C",
  "load range D",
  "load range E",
] as const;

/** A cold pressure as the placard prints it. */
export interface Placard {
  readonly value: number;
  readonly unit: PressureUnit;
}

/** What of a vehicle decides whether a rule is there for it. */
export interface RuledVehicle {
  readonly kind: "motor vehicle" | "motorcycle" | "trailer";
  readonly dualWheelsOnAnAxle: boolean;
  /** Gross vehicle weight rating; `null` where it is not known. */
  readonly ratedMassKg: number | null;
}

/** A pressure at or below which a rule wants the lamp lit. It is no verdict on the tyre. */
export interface LampTick {
  readonly rule: "US FMVSS 138" | "UN R141, puncture" | "UN R141, slow loss";
  /** Gauge, in `unit`. */
  readonly value: number;
  readonly unit: PressureUnit;
  /** The same in kPa, for a common scale. */
  readonly kpa: number;
  readonly base: "cold" | "warm";
  readonly words: string;
  readonly source: string;
  readonly status: "read" | "from memory";
}

export type LampRule =
  | { readonly kind: "ticks"; readonly ticks: readonly LampTick[] }
  | { readonly kind: "no rule"; readonly why: string }
  | { readonly kind: "cannot be told"; readonly why: string };

/**
 * The tick of the US rule: the higher of three quarters of the cold placard and the table's minimum activation pressure,
 * worked in the placard's own unit, since the table's columns are rounded apart: 140 kPa and 20 psi (137.9 kPa).
 *
 * @param tyreType `null` where nobody told it: then the table's half is left out, and the words say so.
 * @throws RangeError if the placard is not above zero.
 * @source 49 CFR 571.138, S2 and S4.2(a), read in an unofficial copy. Table 1 is missing there: from memory.
 */
export function usLampRule(placard: Placard, tyreType: TyreType | null, vehicle: RuledVehicle): LampRule {
  if (!(placard.value > 0)) throw new RangeError(`placard must be above 0, got ${placard.value}`);
  if (vehicle.kind !== "motor vehicle") return { kind: "no rule", why: `US FMVSS 138 is not for a ${vehicle.kind}.` };
  if (vehicle.dualWheelsOnAnAxle) {
    return { kind: "no rule", why: "US FMVSS 138 is not for vehicles with dual wheels on an axle." };
  }
  if (vehicle.ratedMassKg !== null && vehicle.ratedMassKg > US_HEAVIEST_KG) {
    return { kind: "no rule", why: `US FMVSS 138 ends at ${US_HEAVIEST_KG} kg.` };
  }
  const { unit } = placard;
  const quarterOff = exact(0.75 * placard.value);
  const least = tyreType === null ? null : minimumOf(tyreType, unit);
  const tableWins = least !== null && least > quarterOff;
  const value = tableWins ? least : quarterOff;
  const because = tableWins
    ? `the least the rule allows for ${tyreType}`
    : `25 % below the cold placard of ${placard.value} ${unit}`;
  const half = tyreType === null ? " The tyre type is not on the card: for some types the rule sets a higher one." : "";
  const tick: LampTick = {
    rule: "US FMVSS 138",
    value,
    unit,
    kpa: kpaFrom(value, unit),
    base: "cold",
    words: `The lamp must be lit at or below this: ${value} ${unit}, ${because}.${half}`,
    source: tableWins ? "49 CFR 571.138, S4.2(a) and Table 1" : "49 CFR 571.138, S4.2(a)",
    status: tableWins ? "from memory" : "read",
  };
  return { kind: "ticks", ticks: [tick] };
}

/**
 * The ticks of the UN rule: 20 % below the warm operating pressure, in the puncture test not below 150 kPa.
 *
 * @param warmKpa Gauge pressure of a tyre that was set by the placard, measured after driving; `null` on a standing car,
 *   where it cannot be known.
 * @throws RangeError if the warm pressure is not above zero.
 * @source UN Regulation No. 141, 5.3.2, 5.3.3 and annex 3: from memory. Its scope (paragraph 1) was read.
 */
export function unLampRule(warmKpa: number | null, vehicle: RuledVehicle): LampRule {
  if (vehicle.kind !== "motor vehicle") {
    return { kind: "no rule", why: `No figure of UN R141 is known here for a ${vehicle.kind}.` };
  }
  if (vehicle.dualWheelsOnAnAxle) {
    return { kind: "no rule", why: "No figure of UN R141 is known here for dual wheels on an axle." };
  }
  if (warmKpa === null) {
    return {
      kind: "cannot be told",
      why: "UN R141 starts from the warm pressure after driving, which a standing car does not tell: measure it warm.",
    };
  }
  if (!(warmKpa > 0)) throw new RangeError(`warm pressure must be above 0 kPa, got ${warmKpa}`);
  const fifthOff = exact(0.8 * warmKpa);
  const tick = (rule: LampTick["rule"], value: number, because: string, source: string): LampTick => ({
    rule,
    value,
    unit: "kPa",
    kpa: value,
    base: "warm",
    words: `The lamp must be lit at or below this: ${value} kPa, ${because}. From memory, check it before quoting.`,
    source,
    status: "from memory",
  });
  const below = `20 % below the warm ${warmKpa} kPa`;
  const puncture = fifthOff < UN_PUNCTURE_LEAST_KPA ? "the least of the puncture test" : `${below}, puncture test`;
  return {
    kind: "ticks",
    ticks: [
      tick("UN R141, puncture", Math.max(fifthOff, UN_PUNCTURE_LEAST_KPA), puncture, "UN R141, 5.3.2, annex 3, 2.6.1"),
      tick("UN R141, slow loss", fifthOff, `${below}, slow loss`, "UN R141, 5.3.3, annex 3, 2.6.2"),
    ],
  };
}

/** 10 000 lb. @source 49 CFR 571.138, S2, read. */
const US_HEAVIEST_KG = 4536;
/** @source UN R141, 5.3.2, from memory. */
const UN_PUNCTURE_LEAST_KPA = 150;

/** A placard in bar is held against the kPa column: the table has no other metric one. */
function minimumOf(tyreType: TyreType, unit: PressureUnit): number {
  const { kpa, psi } = minimums.rows[tyreType];
  if (unit === "psi") return psi;
  return unit === "bar" ? kpa / 100 : kpa;
}

/** Nine digits: so that 0.75 of 2.3 bar is 1.725. */
function exact(value: number): number {
  return Number(value.toPrecision(9));
}
