import { celsiusFrom, kpaFrom } from "../../../decoders/units.ts";
import type { Unit } from "../exercise.ts";

/** What a unit measures. */
export type Dimension =
  | "pressure"
  | "temperature"
  | "frequency"
  | "length"
  | "time"
  | "symbol rate"
  | "ratio in dB"
  | "power"
  | "field strength"
  | "resistance"
  | "number";

interface Meaning {
  readonly dimension: Dimension;
  /** To the unit that all of the dimension are compared in. */
  readonly common: (value: number) => number;
  /** As people write it, beside the unit's own letters. */
  readonly also: readonly string[];
}

const times = (factor: number) => (value: number) => value * factor;

const MEANINGS: Readonly<Record<Unit, Meaning>> = {
  kPa: { dimension: "pressure", common: times(1), also: ["kilopascal", "kilopascals"] },
  bar: { dimension: "pressure", common: (value) => kpaFrom(value, "bar"), also: ["bars"] },
  psi: { dimension: "pressure", common: (value) => kpaFrom(value, "psi"), also: ["lb/in2"] },
  hPa: { dimension: "pressure", common: times(0.1), also: ["mbar"] },
  degC: { dimension: "temperature", common: times(1), also: ["°c", "c", "celsius", "degrees c"] },
  degF: { dimension: "temperature", common: (value) => celsiusFrom(value, "degF"), also: ["°f", "f", "fahrenheit"] },
  K: { dimension: "temperature", common: (value) => value - 273.15, also: ["kelvin"] },
  Hz: { dimension: "frequency", common: times(1), also: ["hertz"] },
  kHz: { dimension: "frequency", common: times(1e3), also: [] },
  MHz: { dimension: "frequency", common: times(1e6), also: [] },
  m: { dimension: "length", common: times(1), also: ["metre", "metres", "meter", "meters"] },
  cm: { dimension: "length", common: times(1e-2), also: [] },
  mm: { dimension: "length", common: times(1e-3), also: [] },
  s: { dimension: "time", common: times(1), also: ["sec", "second", "seconds"] },
  ms: { dimension: "time", common: times(1e-3), also: ["millisecond", "milliseconds"] },
  us: { dimension: "time", common: times(1e-6), also: ["µs", "μs", "microseconds"] },
  Bd: { dimension: "symbol rate", common: times(1), also: ["baud", "symbols/s", "symbols per second", "symbol/s"] },
  kBd: { dimension: "symbol rate", common: times(1e3), also: ["kbaud"] },
  dB: { dimension: "ratio in dB", common: times(1), also: ["decibel", "decibels"] },
  dBm: { dimension: "power", common: (value) => 10 ** (value / 10 - 3), also: [] },
  W: { dimension: "power", common: times(1), also: ["watt", "watts"] },
  mW: { dimension: "power", common: times(1e-3), also: [] },
  uW: { dimension: "power", common: times(1e-6), also: ["µw", "μw"] },
  nW: { dimension: "power", common: times(1e-9), also: [] },
  "uV/m": { dimension: "field strength", common: times(1e-6), also: ["µv/m", "μv/m"] },
  "mV/m": { dimension: "field strength", common: times(1e-3), also: [] },
  "dBuV/m": { dimension: "field strength", common: (value) => 10 ** (value / 20 - 6), also: ["dbµv/m", "dbμv/m"] },
  ohm: { dimension: "resistance", common: times(1), also: ["ohms", "Ω"] },
  mohm: { dimension: "resistance", common: times(1e-3), also: ["mΩ", "milliohm"] },
  "%": { dimension: "number", common: times(1e-2), also: ["percent", "per cent"] },
  "1": { dimension: "number", common: times(1), also: ["times", "bits", "bit", "sensors", "bursts", "telegrams"] },
};

/** Those that are not written as they are named. */
const WRITTEN: Readonly<Partial<Record<Unit, string>>> = {
  degC: "°C",
  degF: "°F",
  us: "µs",
  uW: "µW",
  "uV/m": "µV/m",
  "dBuV/m": "dBµV/m",
  ohm: "Ω",
  mohm: "mΩ",
  "1": "",
};

/** A unit as it stands behind a number; nothing for a plain number. */
export function writtenUnit(unit: Unit): string {
  return WRITTEN[unit] ?? unit;
}

export function dimensionOf(unit: Unit): Dimension {
  return MEANINGS[unit].dimension;
}

/** A value in the unit that all units of its dimension are compared in. */
export function inCommon(value: number, unit: Unit): number {
  return MEANINGS[unit].common(value);
}

/**
 * The unit that somebody wrote; of two that differ in case alone the one that is written so.
 *
 * @returns `undefined` for one that is not known here.
 */
export function unitOf(written: string): Unit | undefined {
  const units = Object.keys(MEANINGS) as Unit[];
  const exact = units.find((unit) => unit === written);
  if (exact) return exact;
  const small = written.toLowerCase();
  return units.find(
    (unit) => unit.toLowerCase() === small || MEANINGS[unit].also.some((other) => other.toLowerCase() === small),
  );
}
