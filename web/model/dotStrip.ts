import { extent, scaleLinear, scaleTime, timeFormat } from "d3";

/** Readings of one sensor over time, as dots. Places are fractions of width and height, 0 at the left and the bottom. */
export interface DotStrip {
  readonly dots: readonly { readonly x: number; readonly y: number; readonly title: string }[];
  readonly xTicks: readonly { readonly at: number; readonly label: string }[];
  readonly yTicks: readonly { readonly at: number; readonly label: string }[];
}

export interface TimedReading {
  readonly at: string;
  readonly value: number;
  readonly title: string;
}

/** @param readings At least one. `label` writes a value of the upright axis. */
export function dotStrip(readings: readonly TimedReading[], label: (value: number) => string): DotStrip {
  const times = readings.map(({ at }) => new Date(at));
  const [first, last] = extent(times);
  if (first === undefined || last === undefined) throw new RangeError("a dot strip needs a reading");
  // A single moment, or a few milliseconds, would fill the whole width.
  const middleMs = (first.getTime() + last.getTime()) / 2;
  const halfMs = Math.max(LEAST_SPAN_MS, last.getTime() - first.getTime()) * 0.55;
  const x = scaleTime([new Date(middleMs - halfMs), new Date(middleMs + halfMs)], [0, 1]);
  const [least = 0, most = 0] = extent(readings, ({ value }) => value);
  const spare = Math.max((most - least) * 0.2, Math.abs(most) * 0.05, 1e-6);
  const y = scaleLinear([least - spare, most + spare], [0, 1]);
  const format = timeFormat(TICK_FORMATS.find(({ mostMs }) => 2 * halfMs <= mostMs)?.format ?? "%d %b %Y");
  return {
    dots: readings.map(({ at, value, title }) => ({ x: x(new Date(at)), y: y(value), title })),
    xTicks: x.ticks(4).map((date) => ({ at: x(date), label: format(date) })),
    yTicks: y.ticks(3).map((value) => ({ at: y(value), label: label(value) })),
  };
}

const LEAST_SPAN_MS = 4000;
/** A tick says no more than tells it from the next one, and all of them say the same. */
const TICK_FORMATS = [
  { mostMs: 5 * 60e3, format: "%H:%M:%S" },
  { mostMs: 24 * 3600e3, format: "%H:%M" },
  { mostMs: 14 * 86400e3, format: "%d %b %H:%M" },
];
