import { scaleLinear } from "d3";
import { figure } from "../quantities.ts";

/** Where a plot is drawn, in pixels from its upper left corner; what is left around it holds figures and names. */
export interface PlotBox {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly leftPx: number;
  readonly topPx: number;
  readonly rightPx: number;
  readonly bottomPx: number;
}

/** A mark on an axis. */
export interface PlotTick {
  readonly at: number;
  readonly label: string;
}

/** An axis with its place in pixels. */
export interface PlotAxis {
  readonly place: (value: number) => number;
  readonly ticks: readonly PlotTick[];
}

/** Room for figures at the left and a name below. */
export function plotBox(widthPx: number, heightPx: number): PlotBox {
  return { widthPx, heightPx, leftPx: 52, topPx: 14, rightPx: 14, bottomPx: 46 };
}

/** A linear axis over all values with some room, its marks as many as fit. */
export function axisOver(
  values: readonly number[],
  [fromPx, toPx]: readonly [number, number],
  { leastSpan = 0, perTickPx = 70 }: { readonly leastSpan?: number; readonly perTickPx?: number } = {},
): PlotAxis {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const span = Math.max(most - least, leastSpan, 1e-9);
  const middle = (least + most) / 2;
  const scale = scaleLinear([middle - 0.55 * span, middle + 0.55 * span], [fromPx, toPx]);
  const count = Math.max(2, Math.floor(Math.abs(toPx - fromPx) / perTickPx));
  return {
    place: (value) => scale(value),
    ticks: ticksOf(scale.ticks(count)).map(({ value, label }) => ({ at: scale(value), label })),
  };
}

/** A linear axis from one value to another, as they are. */
export function axisFrom(
  [from, to]: readonly [number, number],
  [fromPx, toPx]: readonly [number, number],
  perTickPx = 70,
): PlotAxis {
  const scale = scaleLinear([from, to], [fromPx, toPx]);
  const count = Math.max(2, Math.floor(Math.abs(toPx - fromPx) / perTickPx));
  return {
    place: (value) => scale(value),
    ticks: ticksOf(scale.ticks(count)).map(({ value, label }) => ({ at: scale(value), label })),
  };
}

/** Round figures with as many decimals as their step asks for. */
function ticksOf(values: readonly number[]): { readonly value: number; readonly label: string }[] {
  const step = Math.abs((values[1] ?? 1) - (values[0] ?? 0));
  const decimals = Math.min(6, Math.max(0, Math.ceil(-Math.log10(step) - 1e-9)));
  return values.map((value) => ({ value, label: figure(value, decimals) }));
}

/** Straight strokes through points, as an SVG path. */
export function strokePath(points: readonly { readonly x: number; readonly y: number }[]): string {
  return points.map(({ x, y }, i) => `${i === 0 ? "M" : "L"}${x.toFixed(1)} ${y.toFixed(1)}`).join("");
}

/** The ground between two lines over the same places, as an SVG path. */
export function bandBetween(
  points: readonly { readonly x: number; readonly from: number; readonly to: number }[],
): string {
  if (points.length === 0) return "";
  const upper = points.map(({ x, to }) => ({ x, y: to }));
  const lower = points.map(({ x, from }) => ({ x, y: from })).toReversed();
  return `${strokePath([...upper, ...lower])}Z`;
}
