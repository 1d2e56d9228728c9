/** Two bands are two where they lie so far apart. */
export const ANOTHER_BAND_HZ = 5e6;
/** A sensor that comes in by so much below its siblings is the odd one out. */
export const ODD_LEVEL_DB = 7;

/** The middle one of values, the upper of two; `undefined` without any. */
export function middleOf(values: readonly number[]): number | undefined {
  return values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];
}
