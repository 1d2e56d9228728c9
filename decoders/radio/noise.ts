import { thermalNoiseDbm } from "../signal/bandwidth.ts";

/** Noise of a receiver at its antenna, in dBm: kTB at 290 K and what its own parts add. */
export function receiverNoiseDbm(bandwidthHz: number, noiseFigureDb: number): number {
  return thermalNoiseDbm(bandwidthHz) + noiseFigureDb;
}

/** Two powers that have nothing to do with each other, together, in dBm. */
export function together(oneDbm: number, otherDbm: number): number {
  return 10 * Math.log10(10 ** (oneDbm / 10) + 10 ** (otherDbm / 10));
}

/**
 * Eb/N0 in dB from the ratio of signal to noise in a bandwidth, the noise spread evenly over it.
 *
 * @param bitRate Frame bits a second, not symbols.
 */
export function ebN0OfSnr(snrDb: number, bandwidthHz: number, bitRate: number): number {
  return snrDb + 10 * Math.log10(bandwidthHz / bitRate);
}

/** How a carrier lies to the band that a receiver takes in. */
export interface Apart {
  readonly apartHz: number;
  /** So many widths of the band. */
  readonly widths: number;
  readonly isInBand: boolean;
}

/** A receiver's band is cut sharply here: half its width to each side of its centre, nothing beyond. */
export function apart(carrierHz: number, tunedHz: number, bandwidthHz: number): Apart {
  const apartHz = Math.abs(carrierHz - tunedHz);
  return { apartHz, widths: apartHz / bandwidthHz, isInBand: apartHz <= bandwidthHz / 2 };
}
