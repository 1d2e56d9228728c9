import type { SymbolMeasure } from "./symbolClock.ts";

/** A burst in its own band, with what lies around it. */
export interface Surroundings {
  /** Around -1 and +1, from before the burst to behind it. */
  readonly wave: Float64Array;
  /** Of each element. */
  readonly power: Float64Array;
  /** Where the burst lies in them, as it was measured. */
  readonly first: number;
  readonly count: number;
}

/** A burst's ends are known to so many symbols only. */
const MOST_MORE = 6;
/** A symbol of FSK with less of the burst's power is none. */
const SHARE = 0.4;

/**
 * The symbols of a burst from its first one to its last. Its ends are measured by power, in blocks longer than a symbol may
 * be, so that a last short one can lie outside, or silence inside.
 *
 * @param isSwitched ASK: a symbol without power is a 0, and the last 1 is the end. FSK: there is no symbol without power.
 */
export function toTheEnds(
  measure: SymbolMeasure,
  rateHz: number,
  { wave, power, first, count }: Surroundings,
  isSwitched: boolean,
): SymbolMeasure {
  const period = rateHz / measure.rateHz;
  const length = measure.symbols.length;
  const sorted = power.slice(first, first + count).sort();
  const least = SHARE * sorted[sorted.length >> 1]!;
  const at = first + measure.start;
  const isOne = (n: number) => meanOf(wave, at, period, n) > 0;
  const isThere = isSwitched ? isOne : (n: number) => meanOf(power, at, period, n) >= least;
  let from = 0;
  let to = length;
  for (let more = 1; more <= MOST_MORE; more++) {
    if ((isSwitched || from === 1 - more) && isThere(-more)) from = -more;
    if ((isSwitched || to === length + more - 1) && isThere(length + more - 1)) to = length + more;
  }
  if (!isSwitched) {
    while (from >= 0 && from < MOST_MORE && from < length - 1 && !isThere(from)) from++;
    while (to <= length && to > length - MOST_MORE && to > from + 1 && !isThere(to - 1)) to--;
  }
  if (from === 0 && to === length) return measure;
  const symbols = Uint8Array.from({ length: to - from }, (_, i) =>
    from + i >= 0 && from + i < length ? measure.symbols[from + i]! : Number(isOne(from + i)),
  );
  return { ...measure, start: measure.start + from * period, symbols };
}

/** Over the middle half of a symbol; not a number outside of what there is. */
function meanOf(values: Float64Array, at: number, period: number, n: number): number {
  const from = Math.round(at + (n + 0.25) * period);
  const to = Math.max(from + 1, Math.round(at + (n + 0.75) * period));
  if (from < 0 || to > values.length) return Number.NaN;
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i]!;
  return sum / (to - from);
}
