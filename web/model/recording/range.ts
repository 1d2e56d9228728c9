/** A stretch of a recording in seconds from its first sample, half open. */
export interface TimeRange {
  readonly fromSeconds: number;
  readonly toSeconds: number;
}

/** What bounds a range: the recording's length, and how short a stretch still shows something. */
export interface Bounds {
  readonly seconds: number;
  readonly leastSeconds: number;
}

/** A sixteenth of nothing is nothing: so many samples are shown at least. */
const LEAST_SAMPLES = 16;

/** @param seconds Above zero. */
export function boundsOf(seconds: number, sampleRateHz: number): Bounds {
  return { seconds, leastSeconds: Math.min(seconds, LEAST_SAMPLES / sampleRateHz) };
}

export function wholeRange({ seconds }: Bounds): TimeRange {
  return { fromSeconds: 0, toSeconds: seconds };
}

/** The nearest range of the same length that lies in the recording; too long or too short ones are cut or widened. */
export function fitted(range: TimeRange, bounds: Bounds): TimeRange {
  const asked = range.toSeconds - range.fromSeconds;
  const length = Math.min(bounds.seconds, Math.max(bounds.leastSeconds, asked));
  const middle = (range.fromSeconds + range.toSeconds) / 2;
  const from = asked === length ? range.fromSeconds : middle - length / 2;
  const fromSeconds = Math.min(Math.max(0, from), bounds.seconds - length);
  // Added up anew, the end of the recording could be missed by the last digit.
  const toSeconds = fromSeconds === bounds.seconds - length ? bounds.seconds : fromSeconds + length;
  return { fromSeconds, toSeconds };
}

/** Closer for a factor below 1, wider above it; what is at `atSeconds` stays where it is on the page. */
export function zoomed(range: TimeRange, factor: number, atSeconds: number, bounds: Bounds): TimeRange {
  const length = range.toSeconds - range.fromSeconds;
  const wanted = Math.min(bounds.seconds, Math.max(bounds.leastSeconds, length * factor));
  const share = (atSeconds - range.fromSeconds) / length;
  const fromSeconds = atSeconds - share * wanted;
  return fitted({ fromSeconds, toSeconds: fromSeconds + wanted }, bounds);
}

/** @param share Of its own length; negative goes back. */
export function moved(range: TimeRange, share: number, bounds: Bounds): TimeRange {
  const step = share * (range.toSeconds - range.fromSeconds);
  return fitted({ fromSeconds: range.fromSeconds + step, toSeconds: range.toSeconds + step }, bounds);
}

/** The same range where it shows all of `part`, else one of the same length around it, or a wider one. */
export function showing(range: TimeRange, part: TimeRange, bounds: Bounds): TimeRange {
  if (part.fromSeconds >= range.fromSeconds && part.toSeconds <= range.toSeconds) return range;
  const length = Math.max(range.toSeconds - range.fromSeconds, 1.2 * (part.toSeconds - part.fromSeconds));
  const middle = (part.fromSeconds + part.toSeconds) / 2;
  return fitted({ fromSeconds: middle - length / 2, toSeconds: middle + length / 2 }, bounds);
}

/** `part` with some of what is around it. */
export function closeUp(part: TimeRange, bounds: Bounds): TimeRange {
  const spare = 0.15 * (part.toSeconds - part.fromSeconds);
  return fitted({ fromSeconds: part.fromSeconds - spare, toSeconds: part.toSeconds + spare }, bounds);
}

/** A range by its two ends, in whatever order they come: each is kept inside, and apart from the other. */
export function between(aSeconds: number, bSeconds: number, bounds: Bounds): TimeRange {
  const inside = (at: number) => Math.min(bounds.seconds, Math.max(0, at));
  const [fromSeconds, toSeconds] = [inside(Math.min(aSeconds, bSeconds)), inside(Math.max(aSeconds, bSeconds))];
  return fitted({ fromSeconds, toSeconds }, bounds);
}

export function isSame(a: TimeRange, b: TimeRange): boolean {
  return a.fromSeconds === b.fromSeconds && a.toSeconds === b.toSeconds;
}

export function isWhole(range: TimeRange, { seconds }: Bounds): boolean {
  return range.fromSeconds === 0 && range.toSeconds === seconds;
}

/** From here to there, with as many decimals as the length asks for, such as `0.203 to 0.662 s`. */
export function rangeWords(range: TimeRange): string {
  const decimals = decimalsFor((range.toSeconds - range.fromSeconds) / 100);
  return `${range.fromSeconds.toFixed(decimals)} to ${range.toSeconds.toFixed(decimals)}\u202fs`;
}

/** How many decimals tell seconds apart that are `stepSeconds` from each other, 0 to 9. */
export function decimalsFor(stepSeconds: number): number {
  if (!(stepSeconds > 0)) return 0;
  // A step of exactly 0.1 has a logarithm a hair below −1.
  return Math.min(9, Math.max(0, Math.ceil(-Math.log10(stepSeconds) - 1e-9)));
}
