import { type PressureUnit, pressureIn, type TemperatureUnit, temperatureIn } from "../../decoders/units.ts";

/** A number as it is shown: the figure and, apart from it, its unit. */
export interface Shown {
  readonly figure: string;
  readonly unit: string;
}

const PRESSURE_DECIMALS: Readonly<Record<PressureUnit, number>> = { kPa: 0, psi: 1, bar: 2 };
const TEMPERATURE_WORDS: Readonly<Record<TemperatureUnit, string>> = { degC: "°C", degF: "°F" };

/** A pressure in the unit that the device shows, with no more digits than a sensor resolves. */
export function pressureShown(kpa: number, unit: PressureUnit): Shown {
  return { figure: figure(pressureIn(unit, kpa), PRESSURE_DECIMALS[unit]), unit };
}

export function temperatureShown(celsius: number, unit: TemperatureUnit): Shown {
  return { figure: figure(temperatureIn(unit, celsius), 0), unit: TEMPERATURE_WORDS[unit] };
}

export function frequencyShown(carrierHz: number, decimals = 2): Shown {
  return { figure: figure(carrierHz / 1e6, decimals), unit: "MHz" };
}

/** How far a carrier lies from its nominal value, with its sign. */
export function offsetShown(offsetHz: number): Shown {
  return { figure: signed(offsetHz / 1000, 1), unit: "kHz" };
}

/** Figure and unit in one line, a narrow space between them that never breaks. */
export function inLine({ figure: text, unit }: Shown): string {
  return `${text}\u202f${unit}`;
}

/** A number with fixed decimals, a true minus sign, and no minus before zero. */
export function figure(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  if (!text.startsWith("-")) return text;
  return Number(text) === 0 ? text.slice(1) : `−${text.slice(1)}`;
}

/** As `figure`, with a plus sign above zero. */
export function signed(value: number, decimals: number): string {
  const text = figure(value, decimals);
  return Number(value.toFixed(decimals)) > 0 ? `+${text}` : text;
}

/** `no bursts`, `1 burst`, `12 bursts`. */
export function counted(count: number, thing: string): string {
  return `${count === 0 ? "no" : count} ${thing}${count === 1 ? "" : "s"}`;
}

/** `one`, `one and two`, `one, two and three`. */
export function listed(parts: readonly string[]): string {
  if (parts.length < 2) return parts[0] ?? "";
  return `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`;
}

/** A probability as a whole percent; never 0 or 100, since neither is ever sure. */
export function percentWords(probability: number): string {
  const percent = Math.round(100 * probability);
  return percent < 1 ? "under 1 %" : percent > 99 ? "over 99 %" : `${percent} %`;
}
