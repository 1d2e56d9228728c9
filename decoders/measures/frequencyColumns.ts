import type { BandSignal } from "./bandLimited.ts";

export interface FrequencyColumns {
  /** One a column, from the tuned centre; `undefined`: only noise there. */
  readonly lowestHz: readonly (number | undefined)[];
  readonly highestHz: readonly (number | undefined)[];
}

/** A sample tells a frequency where it and the one before are so many times the noise's mean power. */
const CLEAR_POWER = 8;

/**
 * Least and most frequency of the samples of each column, told by the turn from one sample to the next.
 *
 * @param signal With a sample before the first one that counts, where there is one.
 * @param fromSample, toSample In samples of the signal; may lie between samples.
 * @param noiseDensity Noise power per hertz, full scale 1.
 */
export function frequencyColumns(
  { re, im, rateHz, noiseHz }: BandSignal,
  fromSample: number,
  toSample: number,
  columns: number,
  noiseDensity: number,
): FrequencyColumns {
  const least = CLEAR_POWER * noiseDensity * noiseHz;
  const scale = rateHz / (2 * Math.PI);
  const perColumn = (toSample - fromSample) / columns;
  const lowestHz: (number | undefined)[] = [];
  const highestHz: (number | undefined)[] = [];
  for (let column = 0; column < columns; column++) {
    const from = Math.floor(fromSample + column * perColumn);
    // A column that is shorter than a sample shows the one it lies in.
    const to = Math.min(re.length, Math.max(from + 1, Math.ceil(fromSample + (column + 1) * perColumn)));
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    for (let i = Math.max(1, from); i < to; i++) {
      const here = re[i]! * re[i]! + im[i]! * im[i]!;
      const before = re[i - 1]! * re[i - 1]! + im[i - 1]! * im[i - 1]!;
      if (here < least || before < least) continue;
      const along = re[i]! * re[i - 1]! + im[i]! * im[i - 1]!;
      const across = im[i]! * re[i - 1]! - re[i]! * im[i - 1]!;
      const hz = scale * Math.atan2(across, along);
      if (hz < low) low = hz;
      if (hz > high) high = hz;
    }
    lowestHz.push(low <= high ? low : undefined);
    highestHz.push(low <= high ? high : undefined);
  }
  return { lowestHz, highestHz };
}
