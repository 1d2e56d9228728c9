import type { LotLimits } from "../../bench/lot.ts";
import { listed } from "../sheet/units.ts";
import type { LotBody } from "../wire/lots.ts";
import { paragraph, type Section } from "./document.ts";
import { plain, withUnit } from "./shown.ts";

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
export function ruleSection({ ruleSays }: LotBody): Section {
  return {
    heading: "Decision rule",
    across: false,
    whole: true,
    blocks: [paragraph(ruleSays)],
  };
}
