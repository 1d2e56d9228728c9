/** Metres a second in empty space, by definition. */
const LIGHT_M_PER_S = 299_792_458;

export function wavelengthM(carrierHz: number): number {
  return LIGHT_M_PER_S / carrierHz;
}

/** The length of an ideal quarter-wave rod; a real one is cut a few percent shorter. */
export function quarterWaveM(carrierHz: number): number {
  return wavelengthM(carrierHz) / 4;
}

/** Nearer than this the field is not yet a wave, and no law of distance holds: a wavelength over 2 pi. */
export function nearFieldM(carrierHz: number): number {
  return wavelengthM(carrierHz) / (2 * Math.PI);
}
