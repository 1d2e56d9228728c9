import type { Field } from "./layouts/schema.ts";

export type PressureUnit = "kPa" | "psi" | "bar";
export type TemperatureUnit = "degC" | "degF";
export type PressureReference = NonNullable<Field["reference"]>;

/** Standard atmosphere at sea level. @source ISO 2533 (standard atmosphere): 101 325 Pa exactly. */
export const SEA_LEVEL_KPA = 101.325;

const KPA_OF: Readonly<Record<PressureUnit, number>> = {
  kPa: 1,
  // A pound is 0.45359237 kg and an inch 0.0254 m exactly (yard and pound agreement, 1959); standard gravity is
  // 9.80665 m/s2 exactly (3rd General Conference on Weights and Measures, 1901).
  psi: (0.45359237 * 9.80665) / 0.0254 ** 2 / 1000,
  bar: 100, // exactly, ISO 80000-4
};
/** Kelvin at 0 degC. @source SI Brochure, 9th edition, section 2.3.1: exactly. */
export const ZERO_C_IN_K = 273.15;

/** A pressure in kPa, gauge or absolute as it was. */
export function kpaFrom(value: number, unit: PressureUnit): number {
  return value * KPA_OF[unit];
}

/** A pressure in `unit`, gauge or absolute as it was. */
export function pressureIn(unit: PressureUnit, kpa: number): number {
  return kpa / KPA_OF[unit];
}

/** A temperature in degrees Celsius. @source degF = 1.8 degC + 32, exactly: NIST SP 811, appendix B. */
export function celsiusFrom(value: number, unit: TemperatureUnit): number {
  return unit === "degC" ? value : (value - 32) / 1.8;
}

/** A temperature in `unit`. */
export function temperatureIn(unit: TemperatureUnit, temperatureC: number): number {
  return unit === "degC" ? temperatureC : 1.8 * temperatureC + 32;
}

/**
 * Gauge pressure in kPa: what stands above the air outside.
 *
 * @param value Pressure in `unit`, above vacuum (`absolute`) or above the air outside (`gauge`).
 * @param ambientKpa Absolute pressure of the air outside; plays no part for `gauge`.
 */
export function toGaugeKpa(
  value: number,
  unit: PressureUnit,
  reference: PressureReference,
  ambientKpa: number,
): number {
  const kpa = kpaFrom(value, unit);
  return reference === "gauge" ? kpa : kpa - ambientKpa;
}

/**
 * Absolute pressure of the standard atmosphere, in kPa.
 *
 * @param altitudeM Geopotential metres above sea level, -2000 to 11000: the layer whose temperature falls steadily.
 * @throws RangeError outside that layer.
 * @source ISO 2533 and ICAO Doc 7488: 288.15 K at sea level, 6.5 K less per kilometre, R = 287.05287 J/(kg K).
 */
export function standardAtmosphereKpa(altitudeM: number): number {
  if (!(altitudeM >= -2000 && altitudeM <= 11000)) {
    throw new RangeError(`altitude must be -2000 to 11000 m, got ${altitudeM}`);
  }
  const lapse = 0.0065;
  return SEA_LEVEL_KPA * (1 - (lapse / 288.15) * altitudeM) ** (9.80665 / (287.05287 * lapse));
}

/**
 * Gauge pressure that a tyre shows once its air has another temperature and nothing else has changed, in kPa.
 *
 * @param gaugePressureKpa At `fromC`.
 * @param ambientKpa Absolute pressure of the air outside, before and after.
 * @throws RangeError at or below absolute zero.
 * @source Gay-Lussac's law for a constant volume: absolute pressure over absolute temperature stays.
 */
export function gaugeKpaAtTemperature(
  gaugePressureKpa: number,
  fromC: number,
  toC: number,
  ambientKpa: number,
): number {
  const fromK = fromC + ZERO_C_IN_K;
  const toK = toC + ZERO_C_IN_K;
  if (!(fromK > 0 && toK > 0)) throw new RangeError(`temperatures must be above 0 K, got ${fromK} and ${toK} K`);
  return ((gaugePressureKpa + ambientKpa) * toK) / fromK - ambientKpa;
}
