import { scaleLinear } from "d3";
import type { SignalBody } from "../../../server/http/wire.ts";
import { figure } from "../quantities.ts";
import { rangeWords, type TimeRange } from "./range.ts";

/** How the level is told: in decibels below full scale, or as a share of it. */
export type LevelUnit = "dBFS" | "share";

/** The upright axis: what its two ends stand for, in its unit. */
export interface LevelAxis {
  readonly unit: LevelUnit;
  readonly bottom: number;
  readonly top: number;
}

export interface LevelTick {
  /** Pixels from the top. */
  readonly y: number;
  readonly label: string;
}

/** What nothing at all is drawn as; far below any noise. */
const SILENCE_DB = -160;

/** Both parts of a sample at full scale, and a hair; only samples in floating point can be stronger. */
const MOST_OF_SCALE_DB = 3.02;

/** Linear |x|, full scale 1, as a value of the axis. */
export function levelIn(unit: LevelUnit, level: number): number {
  if (unit === "share") return level;
  return level > 0 ? Math.max(SILENCE_DB, 20 * Math.log10(level)) : SILENCE_DB;
}

/** An axis that holds the noise and the strongest moment of a whole recording, and stays while one goes closer. */
export function levelAxis(whole: Pick<SignalBody, "most">, unit: LevelUnit): LevelAxis {
  const sorted = whole.most.toSorted((a, b) => a - b);
  const strongest = sorted.at(-1) ?? 0;
  if (unit === "share") return { unit, bottom: 0, top: strongest > 0 ? strongest * 1.08 : 1 };
  // A tenth of the columns may be more silent than noise is: gaps that the receiver filled up.
  const quiet = levelIn(unit, sorted[Math.floor(sorted.length / 10)] ?? 0);
  const strongestDb = levelIn(unit, strongest);
  const step = 5 * Math.ceil((strongestDb + 1) / 5);
  const top = strongestDb <= MOST_OF_SCALE_DB ? Math.min(3, step) : step;
  const bottom = Math.max(-120, 10 * Math.floor((quiet - 12) / 10));
  return { unit, bottom: Math.min(bottom, top - 20), top };
}

export function levelTicks(axis: LevelAxis, heightPx: number): LevelTick[] {
  const y = yOf(axis, heightPx);
  const values = y.ticks(Math.max(2, Math.round(heightPx / 40)));
  const decimals = axis.unit === "dBFS" ? 0 : Math.max(1, Math.ceil(-Math.log10((values[1] ?? 1) - (values[0] ?? 0))));
  return values.map((value) => ({ y: y(value), label: figure(value, decimals) }));
}

/**
 * One upright stroke for each column that lies in the range: x, width, top and bottom in pixels, four numbers each.
 *
 * A stroke reaches to its neighbour's where the two do not overlap, so that the outline has no holes. None is shorter
 * than a pixel, so that no pulse and no silence disappears.
 */
export function levelStrokes(
  signal: SignalBody,
  range: TimeRange,
  axis: LevelAxis,
  { widthPx, heightPx }: { readonly widthPx: number; readonly heightPx: number },
): Float32Array {
  const { fromSeconds, toSeconds, columns, least, most } = signal;
  const perColumn = (toSeconds - fromSeconds) / columns;
  const perSecond = widthPx / (range.toSeconds - range.fromSeconds);
  const y = yOf(axis, heightPx).clamp(true);
  const first = Math.max(0, Math.floor((range.fromSeconds - fromSeconds) / perColumn));
  const end = Math.min(columns, Math.ceil((range.toSeconds - fromSeconds) / perColumn));
  const strokes = new Float32Array(4 * Math.max(0, end - first));
  for (let i = first; i < end; i++) {
    let low = least[i] ?? 0;
    let high = most[i] ?? 0;
    if (i > first) {
      low = Math.min(low, most[i - 1] ?? low);
      high = Math.max(high, least[i - 1] ?? high);
    }
    const top = Math.min(y(levelIn(axis.unit, high)), heightPx - 1);
    const at = 4 * (i - first);
    strokes[at] = (fromSeconds + i * perColumn - range.fromSeconds) * perSecond;
    strokes[at + 1] = perColumn * perSecond;
    strokes[at + 2] = top;
    strokes[at + 3] = Math.max(y(levelIn(axis.unit, low)), top + 1);
  }
  return strokes;
}

/** The level at a moment, as the columns have it, in words; `undefined` outside of them. */
export function levelWords(signal: SignalBody, atSeconds: number, unit: LevelUnit): string | undefined {
  const perColumn = (signal.toSeconds - signal.fromSeconds) / signal.columns;
  const i = Math.floor((atSeconds - signal.fromSeconds) / perColumn);
  const [low, high] = [signal.least[i], signal.most[i]];
  return low === undefined || high === undefined ? undefined : spanWords(low, high, unit);
}

/** The most level at a moment, linear, by the finest signal that covers it; `undefined` where none does. */
export function levelAt(signals: readonly (SignalBody | undefined)[], atSeconds: number): number | undefined {
  const signal = signals.findLast((one) => one && atSeconds >= one.fromSeconds && atSeconds < one.toSeconds);
  if (!signal) return undefined;
  return signal.most[
    Math.floor(((atSeconds - signal.fromSeconds) / (signal.toSeconds - signal.fromSeconds)) * signal.columns)
  ];
}

/** A part of a range with its level in words. */
export interface LevelPart extends TimeRange {
  readonly words: string;
}

/** A range in equal parts, each with the least and most level of the columns in it, from the finest signal there is. */
export function levelParts(
  signals: readonly SignalBody[],
  range: TimeRange,
  count: number,
  unit: LevelUnit,
): LevelPart[] {
  const step = (range.toSeconds - range.fromSeconds) / count;
  return Array.from({ length: count }, (_, i) => {
    const part = { fromSeconds: range.fromSeconds + i * step, toSeconds: range.fromSeconds + (i + 1) * step };
    const span = spanIn(signals, part);
    return { ...part, words: span === undefined ? "not told" : spanWords(span.low, span.high, unit) };
  });
}

/** The strongest moment of a range, in a sentence. */
export function strongestWords(signals: readonly SignalBody[], range: TimeRange, unit: LevelUnit): string {
  const span = spanIn(signals, range);
  if (span === undefined) return "The level over time";
  return `At its strongest the level is ${spanWords(span.high, span.high, unit)}, from ${rangeWords(range)}`;
}

function spanIn(signals: readonly SignalBody[], part: TimeRange): { low: number; high: number } | undefined {
  const signal = signals.findLast(
    ({ fromSeconds, toSeconds }) => fromSeconds <= part.fromSeconds + 1e-9 && toSeconds >= part.toSeconds - 1e-9,
  );
  if (signal === undefined) return undefined;
  const perColumn = (signal.toSeconds - signal.fromSeconds) / signal.columns;
  const first = Math.max(0, Math.floor((part.fromSeconds - signal.fromSeconds) / perColumn + 1e-6));
  const end = Math.max(first + 1, Math.ceil((part.toSeconds - signal.fromSeconds) / perColumn - 1e-6));
  let low = Number.POSITIVE_INFINITY;
  let high = 0;
  for (let i = first; i < Math.min(end, signal.columns); i++) {
    low = Math.min(low, signal.least[i] ?? low);
    high = Math.max(high, signal.most[i] ?? high);
  }
  return low <= high ? { low, high } : undefined;
}

function spanWords(low: number, high: number, unit: LevelUnit): string {
  // Nothing at all has no decibels.
  if (unit === "dBFS" && high <= 0) return "silence";
  const one = (level: number) => {
    if (unit === "share") return figure(level, 3);
    return level > 0 ? figure(levelIn(unit, level), 1) : "silence";
  };
  const words = unit === "dBFS" ? "\u202fdBFS" : " of full scale";
  return low === high ? `${one(high)}${words}` : `${one(low)} to ${one(high)}${words}`;
}

function yOf({ bottom, top }: LevelAxis, heightPx: number) {
  return scaleLinear([bottom, top], [heightPx, 0]);
}
