import type { PressureUnit, TemperatureUnit } from "../../decoders/units.ts";

export const THEMES = ["device", "paper", "night", "sunlight"] as const;
export const DENSITIES = ["desk", "bay"] as const;
const PRESSURE_UNITS = ["kPa", "psi", "bar"] as const satisfies readonly PressureUnit[];
const TEMPERATURE_UNITS = ["degC", "degF"] as const satisfies readonly TemperatureUnit[];

/** How the pages look on this device. Nothing here touches what is stored. */
export interface Settings {
  /** `device`: paper or night, as the device asks for. */
  readonly theme: (typeof THEMES)[number];
  readonly density: (typeof DENSITIES)[number];
  readonly pressure: PressureUnit;
  readonly temperature: TemperatureUnit;
}

export const DEFAULT_SETTINGS: Settings = { theme: "device", density: "desk", pressure: "kPa", temperature: "degC" };

/** Settings from text that this device kept; whatever does not fit falls back to its default. */
export function settingsFrom(text: string | null): Settings {
  const kept = objectFrom(text);
  return {
    theme: oneOf(THEMES, kept["theme"], DEFAULT_SETTINGS.theme),
    density: oneOf(DENSITIES, kept["density"], DEFAULT_SETTINGS.density),
    pressure: oneOf(PRESSURE_UNITS, kept["pressure"], DEFAULT_SETTINGS.pressure),
    temperature: oneOf(TEMPERATURE_UNITS, kept["temperature"], DEFAULT_SETTINGS.temperature),
  };
}

/** The look to draw: what the device asks for decides only where nobody chose. */
export function themeShown(theme: Settings["theme"], deviceIsDark: boolean): "paper" | "night" | "sunlight" {
  if (theme !== "device") return theme;
  return deviceIsDark ? "night" : "paper";
}

function objectFrom(text: string | null): Readonly<Record<string, unknown>> {
  if (text === null) return {};
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === "object" && value !== null ? { ...value } : {};
  } catch {
    return {};
  }
}

function oneOf<T extends string>(options: readonly T[], value: unknown, otherwise: T): T {
  return options.find((option) => option === value) ?? otherwise;
}
