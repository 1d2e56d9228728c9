import type { Field } from "../../decoders/layouts/schema.ts";

/**
 * The integer that stands for a physical value, rounded to the nearest; its range is not looked at.
 *
 * @param value In the field's own unit and reference.
 */
export function rawFromPhysical(field: Pick<Field, "scale" | "offset">, value: number): number {
  return Math.round((value - (field.offset ?? 0)) / (field.scale ?? 1));
}

/** Gauge pressure in kPa as a pressure field wants it: its unit, and absolute where the layout says so. */
export function pressureInUnit(field: Field, gaugeKpa: number, ambientKpa: number): number {
  const kPa = field.reference === "absolute" ? gaugeKpa + ambientKpa : gaugeKpa;
  if (field.unit === "psi") return kPa / KPA_PER_PSI;
  return field.unit === "bar" ? kPa / 100 : kPa;
}

/** Temperature in degrees Celsius as a temperature field wants it. */
export function temperatureInUnit(field: Field, temperatureC: number): number {
  return field.unit === "degF" ? temperatureC * 1.8 + 32 : temperatureC;
}

/** @source NIST SP 811 (2008), appendix B.8: psi to pascal is 6.894757 E+03; here from 0.45359237 kg, 9.80665 m/s², 0.0254 m. */
const KPA_PER_PSI = (0.45359237 * 9.80665) / (0.0254 * 0.0254) / 1000;
