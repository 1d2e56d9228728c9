import { scaleLinear } from "d3";
import type { SignalBody } from "../../../server/http/wire.ts";
import type { Bounds, TimeRange } from "../recording/range.ts";
import { type LevelAxis, levelIn } from "../recording/signalDrawing.ts";
import { type TimeTick, timeTicks } from "../recording/timeTicks.ts";

/** A recording on the shared axis: its second `zeroSeconds` lies at zero. */
export interface Lane {
  readonly zeroSeconds: number;
  readonly seconds: number;
}

/**
 * The shared axis begins where the first of the recordings does. Ranges count from there, as those of a recording count
 * from its first sample, so that all moves are the same; `leadSeconds` is where zero lies on it.
 */
export interface SharedAxis {
  readonly bounds: Bounds;
  readonly leadSeconds: number;
}

/** @param leastSeconds The shortest stretch that still shows something. */
export function sharedAxis(lanes: readonly Lane[], leastSeconds: number): SharedAxis {
  const leadSeconds = Math.max(0, ...lanes.map(({ zeroSeconds }) => zeroSeconds));
  const after = Math.max(leastSeconds, ...lanes.map(({ zeroSeconds, seconds }) => seconds - zeroSeconds));
  return { bounds: { seconds: leadSeconds + after, leastSeconds }, leadSeconds };
}

/** A range of the shared axis in the recording's own time, cut to what there is; `undefined` for none of it. */
export function inLane(
  range: TimeRange,
  { zeroSeconds, seconds }: Lane,
  { leadSeconds }: SharedAxis,
): TimeRange | undefined {
  const fromSeconds = Math.max(0, range.fromSeconds - leadSeconds + zeroSeconds);
  const toSeconds = Math.min(seconds, range.toSeconds - leadSeconds + zeroSeconds);
  return toSeconds > fromSeconds ? { fromSeconds, toSeconds } : undefined;
}

/** A stretch of the recording on the shared axis. */
export function onAxis(part: TimeRange, { zeroSeconds }: Lane, { leadSeconds }: SharedAxis): TimeRange {
  const by = leadSeconds - zeroSeconds;
  return { fromSeconds: part.fromSeconds + by, toSeconds: part.toSeconds + by };
}

/** As `timeTicks`, in seconds from zero, with a true minus sign. */
export function sharedTicks(range: TimeRange, { leadSeconds }: SharedAxis, widthPx: number): TimeTick[] {
  const fromZero = { fromSeconds: range.fromSeconds - leadSeconds, toSeconds: range.toSeconds - leadSeconds };
  return timeTicks(fromZero, widthPx).map(({ x, label }) => ({
    x,
    label: Number(label) === 0 ? label.replace("-", "") : label.replace("-", "−"),
  }));
}

/** Where a band is drawn. */
interface Box {
  readonly widthPx: number;
  readonly topPx: number;
  readonly heightPx: number;
}

/**
 * The outline of a signal's least and most level: along the top and back along the bottom, as an SVG path. A column is
 * two corners, so that no pulse is rounded off.
 *
 * @param range In the recording's own time; the box is as wide as it.
 * @param louderDb Added to every level.
 */
export function bandPath(signal: SignalBody, range: TimeRange, axis: LevelAxis, box: Box, louderDb = 0): string {
  const { fromSeconds, columns, least, most } = signal;
  const perColumn = (signal.toSeconds - fromSeconds) / columns;
  const x = scaleLinear([range.fromSeconds, range.toSeconds], [0, box.widthPx]);
  const y = scaleLinear([axis.bottom, axis.top], [box.topPx + box.heightPx, box.topPx]).clamp(true);
  const height = (level: number) => y(levelIn(axis.unit, level) + louderDb).toFixed(1);
  const first = Math.max(0, Math.floor((range.fromSeconds - fromSeconds) / perColumn));
  const end = Math.min(columns, Math.ceil((range.toSeconds - fromSeconds) / perColumn));
  if (end <= first) return "";
  const edge = (i: number) => Math.min(box.widthPx, Math.max(0, x(fromSeconds + i * perColumn))).toFixed(1);
  const along: string[] = [];
  const back: string[] = [];
  for (let i = first; i < end; i++) {
    along.push(`${i === first ? `M${edge(i)} ` : "V"}${height(most[i] ?? 0)}`, `H${edge(i + 1)}`);
    const j = end - 1 - (i - first);
    back.push(`V${height(least[j] ?? 0)}`, `H${edge(j)}`);
  }
  return `${along.join("")}${back.join("")}Z`;
}

/** By how many decibels each has to be raised so that all are as strong as the strongest; one without a level by none. */
export function louderDbOf(levelsDbfs: readonly (number | undefined)[]): number[] {
  const highest = Math.max(...levelsDbfs.map((level) => level ?? Number.NEGATIVE_INFINITY));
  return levelsDbfs.map((level) => (level === undefined ? 0 : highest - level));
}

/** Heights of letters that are to stand at `wanted`, moved just so far that none covers another. */
export function lettersAt(wanted: readonly number[], leastGapPx: number): number[] {
  const order = wanted.map((y, i) => ({ y, i })).toSorted((a, b) => a.y - b.y || a.i - b.i);
  const placed = [...wanted];
  let free = Number.NEGATIVE_INFINITY;
  for (const { y, i } of order) {
    placed[i] = Math.max(y, free);
    free = (placed[i] ?? y) + leastGapPx;
  }
  return placed;
}

/** A moment of the shared axis, such as `+3.214 ms`, as finely as `stepSeconds` asks for. */
export function momentWords(atSeconds: number, { leadSeconds }: SharedAxis, stepSeconds: number): string {
  const fromZero = atSeconds - leadSeconds;
  const fine = stepSeconds < 1e-3;
  const decimals = Math.min(9, Math.max(0, Math.ceil(-Math.log10(stepSeconds * (fine ? 1e3 : 1)) - 1e-9)));
  const text = Math.abs(fromZero * (fine ? 1e3 : 1)).toFixed(decimals);
  const sign = Number(text) === 0 ? "" : fromZero < 0 ? "−" : "+";
  return `${sign}${text}\u202f${fine ? "ms" : "s"}`;
}
