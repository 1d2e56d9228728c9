import { gammaQuantileOverMean } from "./floor.ts";

/** Channels added up for one decision: a carrier between two channels shows in the pair. */
export const WIDTHS = [1, 2, 4] as const;

/** Which of the widths. */
export type WidthIndex = 0 | 1 | 2;

/** Under a Hann window neighbouring channels share 4/9 of their noise and the next 1/36, so a sum of them is worth less. */
const WORTH = [1, 2 / (1 + 4 / 9), 4 / (1 + (6 / 4) * (4 / 9) + 1 / 36)] as const;

/**
 * What a sum of cells over their noise reaches with the probability of a normal quantile `z`, where nothing is sent.
 *
 * @param averages Transforms averaged in a cell.
 */
export function sumAt(averages: number, steps: number, w: WidthIndex, z: number): number {
  return WIDTHS[w] * steps * gammaQuantileOverMean(averages * steps * WORTH[w], z);
}

/** The other way: which normal quantile such a sum is. */
export function zOfSum(averages: number, steps: number, w: WidthIndex, sum: number): number {
  const a = 1 / (9 * averages * steps * WORTH[w]);
  return (Math.cbrt(Math.max(0, sum / (WIDTHS[w] * steps))) - 1 + a) / Math.sqrt(a);
}

/**
 * The normal quantile that is passed with a small probability, to 5e-4.
 *
 * @source Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.23 (from memory).
 */
export function zOfChance(probability: number): number {
  const t = Math.sqrt(-2 * Math.log(probability));
  const above = 2.515517 + t * (0.802853 + t * 0.010328);
  return t - above / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
}
