import { wavelengthM } from "./wavelength.ts";

/** Of a loop that is small beside the wavelength; at its best it sends so many times what an isotropic one does. */
export const SMALL_LOOP_DIRECTIVITY = 1.5;
/** Of a half-wave dipole over an isotropic antenna: what lies between e.r.p. and e.i.r.p. */
export const HALF_WAVE_GAIN_DB = 2.15;
/** Of a quarter-wave rod on a large metal surface: a dipole that sends into one half of space. */
export const QUARTER_WAVE_GAIN_DB = HALF_WAVE_GAIN_DB + 10 * Math.log10(2);
/** Siemens a metre, annealed copper at 20 °C. @source IEC 60028, 100 % IACS (from memory). */
export const COPPER_S_PER_M = 5.8e7;

const MU_0 = 4e-7 * Math.PI;

/**
 * Radiation resistance of one turn of any shape, in ohm, as long as it is small beside the wavelength.
 *
 * @source C. A. Balanis, Antenna Theory, small loop (from memory): 320 pi^4 A² / wavelength^4. Printed as 31 171 and as
 *   31 200 (A / wavelength²)² in two application notes (read).
 */
export function loopRadiationOhm(areaM2: number, carrierHz: number): number {
  return (320 * Math.PI ** 4 * areaM2 ** 2) / wavelengthM(carrierHz) ** 4;
}

/** How deep a current runs into a metal, in metres: sqrt(1 / (pi f mu sigma)). */
export function skinDepthM(carrierHz: number, conductivitySPerM: number): number {
  return Math.sqrt(1 / (Math.PI * carrierHz * MU_0 * conductivitySPerM));
}

export interface Wire {
  readonly lengthM: number;
  readonly diameterM: number;
  readonly conductivitySPerM: number;
}

/**
 * What a round wire loses, in ohm, the current running in its skin alone: length over (pi · diameter · skin depth · sigma).
 *
 * @source C. A. Balanis, Antenna Theory, high-frequency resistance of a wire (from memory); thick beside its skin depth.
 */
export function wireLossOhm({ lengthM, diameterM, conductivitySPerM }: Wire, carrierHz: number): number {
  return lengthM / (Math.PI * diameterM * skinDepthM(carrierHz, conductivitySPerM) * conductivitySPerM);
}

/** A loop that is bent to a circle needs the least wire for its area. */
export function circlePerimeterM(areaM2: number): number {
  return 2 * Math.sqrt(Math.PI * areaM2);
}

/** Share of the power in an antenna that leaves it. */
export function efficiency(radiationOhm: number, lossOhm: number): number {
  return radiationOhm / (radiationOhm + lossOhm);
}
