import type { LotLimits } from "../../bench/lot.ts";
import { listed } from "../sheet/units.ts";
import type { LotBody } from "../wire/lots.ts";
import { paragraph, type Section } from "./document.ts";
import { percent, plain, withUnit } from "./shown.ts";

/** What each specimen had to keep to. */
export function limitsSection({ limits }: LotBody): Section {
  const all = [...pressure(limits), ...radio(limits), ...wakes(limits), ...telegram(limits)];
  const text = all.length === 0 ? "None was entered: nothing can lie within or outside." : all.join(" ");
  return { heading: "Limits", across: false, whole: true, blocks: [paragraph(text)] };
}

function pressure({ pressureKpa, pressurePercent, temperatureC }: LotLimits): readonly string[] {
  const parts = [
    ...(pressureKpa === null ? [] : [off(pressureKpa, "kPa")]),
    ...(pressurePercent === null ? [] : [`${off(pressurePercent, "%")} of its value`]),
  ];
  const which = parts.length > 1 ? ", the wider of the two" : "";
  return [
    ...(parts.length > 0 ? [`Pressure: the gauge ${parts.join(" or ")}${which}, gauge pressure.`] : []),
    ...(temperatureC === null ? [] : [`Temperature: the thermometer in the pot ${off(temperatureC, "°C")}.`]),
  ];
}

function radio(limits: LotLimits): readonly string[] {
  const { carrierHz, carrierOff, carrierUnit, deviationHz, deviationOffHz, symbolRate, symbolRateOffPercent, levelDb } =
    limits;
  return [
    ...(carrierHz === null ? [] : [carrier(carrierHz, carrierOff, carrierUnit)]),
    ...(deviationHz === null ? [] : [around("Deviation", withUnit(plain(deviationHz), "Hz"), deviationOffHz, "Hz")]),
    ...(symbolRate === null
      ? []
      : [around("Symbol rate", withUnit(plain(symbolRate), "symbols/s"), symbolRateOffPercent, "%")]),
    ...(levelDb === null ? [] : [`Level: ${off(levelDb, "dB")} of the known-good specimen's, or of the lot's median.`]),
  ];
}

function carrier(carrierHz: number, either: number | null, unit: LotLimits["carrierUnit"]): string {
  const inKhz = unit === "Hz" && either !== null && either >= 1000;
  const nominal = withUnit(plain(carrierHz / 1e6), "MHz");
  return inKhz ? around("Carrier", nominal, either / 1000, "kHz") : around("Carrier", nominal, either, unit);
}

function wakes({
  wakeSeconds,
  telegramsPerWakeLeast: least,
  telegramsPerWakeMost: most,
}: LotLimits): readonly string[] {
  const bounds = [...(least === null ? [] : [`at least ${least}`]), ...(most === null ? [] : [`at most ${most}`])];
  return [
    ...(wakeSeconds === null ? [] : [`First telegram: at most ${withUnit(plain(wakeSeconds), "s")} after the wake.`]),
    ...(bounds.length === 0 ? [] : [`Telegrams per wake: ${bounds.join(", ")}.`]),
  ];
}

function telegram({ identity, layout, batteryGood }: LotLimits): readonly string[] {
  const parts = [
    ...(identity === "" ? [] : [`a sensor ID like ${identity} (? is any digit)`]),
    ...(layout === "" ? [] : [`the layout ${layout}`]),
    ...(batteryGood ? ["a battery flag that says good"] : []),
  ];
  return parts.length === 0 ? [] : [`Telegram: ${listed(parts)}.`];
}

function around(name: string, nominal: string, either: number | null, unit: string): string {
  return `${name}: ${nominal}${either === null ? ", without a limit" : ` ${off(either, unit)}`}.`;
}

/** Either side, such as `± 5 kPa`. */
function off(value: number, unit: string): string {
  return `±\u00a0${withUnit(plain(value), unit)}`;
}

/** The rule of the decision in words, with the risk that it states. */
export function ruleSection({ rule, ruleSays }: LotBody): Section {
  return {
    heading: "Decision rule",
    across: false,
    whole: true,
    blocks: [paragraph(`${ruleSays} ${riskOf(rule)}`.trim())],
  };
}

/**
 * @source ILAC-G8:09/2019, 4.2 and table 1; JCGM 106:2012, 8.3: the chance that a measured figure on the acceptance limit
 * belongs to a true one beyond the limit, for a normal distribution and one limit in reach. From memory.
 */
function riskOf(rule: LotBody["rule"]): string {
  switch (rule.kind) {
    case "simple":
      return `Stated risk: a specimen called within that lies right at its limit is outside in truth with a chance of up to ${percent(0.5)}, and the same the other way round.`;
    case "guard": {
      const risk = beyond(rule.multiple * COVERAGE_95);
      return `Stated risk: a specimen called within is outside in truth with a chance of at most ${percent(risk)}, and the same the other way round.`;
    }
    case "risk":
      return `Stated risk: a specimen called within is outside in truth with a chance of at most ${percent(rule.falseAccept)}, one called outside is within in truth with at most ${percent(rule.falseReject)}.`;
    default:
      return rule satisfies never;
  }
}

/** Standard deviations either side that hold 95 % of a normal distribution. */
const COVERAGE_95 = 1.96;

/**
 * Chance that a normal figure lies more than `z` standard deviations above its mean, for z from 0; within 7.5e-8.
 *
 * @source Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.17; from memory.
 */
function beyond(z: number): number {
  const t = 1 / (1 + 0.2316419 * z);
  const sum = t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) * sum;
}
