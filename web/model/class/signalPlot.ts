import { scaleLinear } from "d3";
import type { PictureBody } from "../../../server/http/wire/exercises.ts";
import { type PlotAxis, type PlotBox, plotBox } from "../bench/plot.ts";
import { figure } from "../quantities.ts";

/** A stretch of signal as it is drawn: in each column from the least to the most. */
export interface SignalPlot {
  readonly box: PlotBox;
  readonly time: PlotAxis;
  readonly timeName: string;
  readonly up: PlotAxis;
  readonly upName: string;
  /** One upright stroke a column, as an SVG path. */
  readonly strokes: string;
}

const HEIGHT_PX = 170;
/** A plain signal has one frequency: the axis does not blow its ripple up to two. */
const LEAST_SPAN_HZ = 20e3;
const LEAST_STROKE_PX = 1.2;

/** Level over time, upwards from nothing. */
export function levelPlot(picture: PictureBody, widthPx: number): SignalPlot {
  const most = Math.max(...picture.most, 1e-6);
  const columns = picture.least.map((least, i) => ({ from: least, to: picture.most[i] ?? least }));
  return plotOf(picture, widthPx, { from: 0, to: most * 1.08 }, columns, { scale: 1, name: "Level, 1 is full scale" });
}

/** Frequency over time where there is a signal; `undefined` where there is none. */
export function frequencyPlot(picture: PictureBody, widthPx: number): SignalPlot | undefined {
  const columns = picture.lowestHz.map((from, i) => {
    const to = picture.highestHz[i] ?? null;
    return from === null || to === null ? undefined : { from, to };
  });
  const there = columns.filter((one) => one !== undefined);
  if (there.length === 0) return undefined;
  // A column at the edge of a burst may tell any frequency: the axis is that of nearly all.
  const lows = there.map(({ from }) => from).toSorted((a, b) => a - b);
  const highs = there.map(({ to }) => to).toSorted((a, b) => a - b);
  const low = at(lows, 0.02);
  const high = at(highs, 0.98);
  const middle = (low + high) / 2;
  const half = Math.max(0.62 * (high - low), LEAST_SPAN_HZ / 2);
  return plotOf(picture, widthPx, { from: middle - half, to: middle + half }, columns, {
    scale: 1e6,
    name: "Frequency, MHz",
  });
}

interface Column {
  readonly from: number;
  readonly to: number;
}

function plotOf(
  { fromSeconds, toSeconds }: PictureBody,
  widthPx: number,
  range: Column,
  columns: readonly (Column | undefined)[],
  { scale, name }: { readonly scale: number; readonly name: string },
): SignalPlot {
  // The same for both, so that their times lie below each other.
  const box: PlotBox = { ...plotBox(widthPx, HEIGHT_PX), leftPx: 62 };
  const bottom = box.heightPx - box.bottomPx;
  const inMs = toSeconds - fromSeconds < 2;
  const unit = inMs ? 1e3 : 1;
  const x = scaleLinear([fromSeconds * unit, toSeconds * unit], [box.leftPx, widthPx - box.rightPx]);
  const y = scaleLinear([range.from / scale, range.to / scale], [bottom, box.topPx]);
  const perColumn = (widthPx - box.rightPx - box.leftPx) / Math.max(1, columns.length);
  const strokes = columns.map((column, i) => {
    if (!column) return "";
    const top = clamped(y(column.to / scale), box.topPx, bottom);
    const foot = clamped(y(column.from / scale), box.topPx, bottom);
    const high = Math.max(foot - top, LEAST_STROKE_PX);
    return `M${(box.leftPx + (i + 0.5) * perColumn).toFixed(1)} ${Math.min(top, bottom - high).toFixed(1)}v${high.toFixed(1)}`;
  });
  return {
    box,
    time: axis(x, Math.max(2, Math.floor((widthPx - box.leftPx) / 80))),
    timeName: inMs ? "Time, ms" : "Time, s",
    up: axis(y, 3),
    upName: name,
    strokes: strokes.join(""),
  };
}

function axis(scale: ReturnType<typeof scaleLinear<number, number>>, count: number): PlotAxis {
  const values = scale.ticks(count);
  const step = Math.abs((values[1] ?? 1) - (values[0] ?? 0));
  const decimals = Math.min(6, Math.max(0, Math.ceil(-Math.log10(step) - 1e-9)));
  return {
    place: (value) => scale(value),
    ticks: values.map((value) => ({ at: scale(value), label: figure(value, decimals) })),
  };
}

function at(sorted: readonly number[], share: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;
}

function clamped(value: number, least: number, most: number): number {
  return Math.min(most, Math.max(least, value));
}

/** What is drawn, for those who hear the page. */
export function signalWords({ fromSeconds, toSeconds, most, lowestHz, highestHz }: PictureBody): string {
  const inMs = toSeconds - fromSeconds < 2;
  const time = (seconds: number) => (inMs ? `${figure(seconds * 1e3, 1)} ms` : `${figure(seconds, 2)} s`);
  const loud = most.filter((one) => one > Math.max(...most, 1e-6) / 2).length;
  const share = Math.round((100 * loud) / Math.max(1, most.length));
  const low = lowestHz.filter((one) => one !== null);
  const high = highestHz.filter((one) => one !== null);
  const middleHz = (median(low) + median(high)) / 2;
  const hz = low.length === 0 ? "" : `; near ${figure(middleHz / 1e6, 3)} MHz`;
  return `From ${time(fromSeconds)} to ${time(toSeconds)}; strong in ${share} % of it${hz}.`;
}

function median(values: readonly number[]): number {
  return at(
    values.toSorted((a, b) => a - b),
    0.5,
  );
}
