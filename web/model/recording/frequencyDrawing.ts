import { scaleLinear } from "d3";
import type { SignalBody } from "../../../server/http/wire.ts";
import { signed } from "../quantities.ts";
import type { TimeRange } from "./range.ts";

/** The upright axis of the frequency: what its ends stand for, in Hz from `nominalHz`. */
export interface FrequencyAxis {
  readonly nominalHz: number;
  readonly bottomHz: number;
  readonly topHz: number;
}

/** @param bandHz Half of what is to be seen to both sides. */
export function frequencyAxis(nominalHz: number, middleHz: number, bandHz: number): FrequencyAxis {
  const middle = middleHz - nominalHz;
  return { nominalHz, bottomHz: middle - bandHz, topHz: middle + bandHz };
}

export function frequencyTicks(axis: FrequencyAxis, heightPx: number): { y: number; label: string }[] {
  const y = scaleLinear([axis.bottomHz / 1000, axis.topHz / 1000], [heightPx, 0]);
  return y.ticks(3).map((value) => ({ y: y(value), label: signed(value, Number.isInteger(value) ? 0 : 1) }));
}

/** One stroke a column that has a frequency: x, width, top and bottom in pixels, four numbers each. */
export function frequencyStrokes(
  signal: SignalBody,
  range: TimeRange,
  axis: FrequencyAxis,
  { widthPx, heightPx }: { readonly widthPx: number; readonly heightPx: number },
): Float32Array {
  const { fromSeconds, toSeconds, columns, lowestHz, highestHz } = signal;
  if (!lowestHz || !highestHz) return new Float32Array(0);
  const perColumn = (toSeconds - fromSeconds) / columns;
  const perSecond = widthPx / (range.toSeconds - range.fromSeconds);
  const y = scaleLinear([axis.bottomHz, axis.topHz], [heightPx, 0]).clamp(true);
  const strokes: number[] = [];
  for (let i = 0; i < columns; i++) {
    const [low, high] = [lowestHz[i], highestHz[i]];
    if (low === null || high === null || low === undefined || high === undefined) continue;
    const x = (fromSeconds + i * perColumn - range.fromSeconds) * perSecond;
    if (x + perColumn * perSecond < 0 || x > widthPx) continue;
    const top = Math.min(y(high - axis.nominalHz), heightPx - 1.5);
    strokes.push(x, perColumn * perSecond, top, Math.max(y(low - axis.nominalHz), top + 1.5));
  }
  return Float32Array.from(strokes);
}

/** The frequency at a moment, the middle of its column; `undefined` where there is none. */
export function frequencyAt(signal: SignalBody | undefined, atSeconds: number): number | undefined {
  if (!signal?.lowestHz || !signal.highestHz) return undefined;
  const i = Math.floor(((atSeconds - signal.fromSeconds) / (signal.toSeconds - signal.fromSeconds)) * signal.columns);
  const [low, high] = [signal.lowestHz[i], signal.highestHz[i]];
  return low === null || high === null || low === undefined || high === undefined ? undefined : (low + high) / 2;
}
