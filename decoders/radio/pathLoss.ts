import { wavelengthM } from "./wavelength.ts";

/**
 * Loss between two isotropic antennas in free space, in dB.
 *
 * @throws RangeError unless the distance is above 0.
 * @source ITU-R P.525, free-space basic transmission loss, 20 lg(4 pi d / wavelength), in its exact form.
 */
export function freeSpaceLossDb(carrierHz: number, distanceM: number): number {
  refuseDistance(distanceM);
  return 20 * Math.log10((4 * Math.PI * distanceM) / wavelengthM(carrierHz));
}

/** Two antennas over flat ground. */
export interface OverGround {
  readonly carrierHz: number;
  /** Straight from antenna to antenna; at least as much as their heights differ. */
  readonly distanceM: number;
  readonly lowerM: number;
  readonly upperM: number;
  /** What the ground gives back of the field, −1 to 1: −1 for a wave that grazes it, 0 for no ground. */
  readonly reflection: number;
}

/**
 * Loss where one wave comes straight and another by way of the ground, in dB; antennas alike in both directions.
 *
 * The way by the ground is sqrt(d² + 4·h1·h2) long, whatever the ground distance: it is the straight way to the mirror
 * image of one antenna.
 *
 * @throws RangeError unless the distance is above 0.
 * @source The two-ray model of T. S. Rappaport, Wireless Communications, ground reflection (from memory).
 */
export function twoRayLossDb({ carrierHz, distanceM, lowerM, upperM, reflection }: OverGround): number {
  refuseDistance(distanceM);
  const lambda = wavelengthM(carrierHz);
  const mirroredM = Math.sqrt(distanceM ** 2 + 4 * lowerM * upperM);
  const turn = (2 * Math.PI * (mirroredM - distanceM)) / lambda;
  const re = 1 / distanceM + (reflection * Math.cos(turn)) / mirroredM;
  const im = (reflection * Math.sin(turn)) / mirroredM;
  return -20 * Math.log10(Math.max(1e-12, (lambda / (4 * Math.PI)) * Math.hypot(re, im)));
}

/**
 * Where the law changes: nearer, loss swings about that of free space; farther, over ground that gives all back, it
 * grows by 12 dB a doubling and no longer depends on the frequency.
 *
 * @source The same book, from memory: 4·h1·h2 / wavelength. Others print 4·pi·h1·h2 / wavelength, where the two asymptotes meet.
 */
export function crossoverM(carrierHz: number, lowerM: number, upperM: number): number {
  return (4 * lowerM * upperM) / wavelengthM(carrierHz);
}

function refuseDistance(distanceM: number): void {
  if (!(distanceM > 0)) throw new RangeError(`a distance must be above 0, got ${distanceM}`);
}
