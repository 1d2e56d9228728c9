import { extent, scaleLinear, scaleTime, timeFormat } from "d3";
import { type PressureUnit, pressureIn, type TemperatureUnit, temperatureIn } from "../../decoders/units.ts";
import type { CurveBody } from "../../server/http/wire.ts";
import { figure } from "./quantities.ts";

export interface CurveChoice {
  readonly quantity: "pressure" | "temperature";
  readonly pressure: PressureUnit;
  readonly temperature: TemperatureUnit;
  /** Only what came from here on; RFC 3339. */
  readonly from: string | undefined;
}

/** Curves laid over each other. Places are fractions of width and height, 0 at the left and the bottom. */
export interface Curves {
  readonly curves: readonly Curve[];
  /** Placard and lamp, where pressure is drawn. */
  readonly levels: readonly { readonly at: number; readonly words: string; readonly kind: "placard" | "lamp" }[];
  readonly xTicks: readonly { readonly at: number; readonly label: string }[];
  readonly yTicks: readonly { readonly at: number; readonly label: string }[];
  readonly unit: string;
}

export interface Curve {
  readonly position: string;
  /** Which of the five inks, from 0. */
  readonly ink: number;
  /** Stretches without a pause; between them nothing is known, so nothing is drawn. */
  readonly stretches: readonly (readonly { readonly x: number; readonly y: number }[])[];
  /** Where its name stands. */
  readonly end: { readonly x: number; readonly y: number };
}

/** At most so many curves can be told apart. */
export const MOST_CURVES = 5;
/** A sensor that rolls speaks once a minute: a longer pause is a gap. */
const GAP_MS = 10 * 60e3;
/** @returns `undefined` where there is nothing to draw. */
export function curvesOf(given: readonly CurveBody[], choice: CurveChoice): Curves | undefined {
  const { quantity, pressure, temperature, from } = choice;
  const told = ({ gaugeKpa, temperatureC }: CurveBody["points"][number]) => {
    if (quantity === "pressure") return gaugeKpa === null ? undefined : pressureIn(pressure, gaugeKpa);
    return temperatureC === null ? undefined : temperatureIn(temperature, temperatureC);
  };
  const series = given.slice(0, MOST_CURVES).map(({ position, points }) => ({
    position,
    points: points
      .filter(({ at }) => from === undefined || at >= from)
      .flatMap((point) => {
        const value = told(point);
        return value === undefined ? [] : [{ ms: Date.parse(point.at), value }];
      }),
  }));
  const all = series.flatMap(({ points }) => points);
  const [first, last] = extent(all, ({ ms }) => ms);
  if (first === undefined || last === undefined) return undefined;
  const levels = quantity === "pressure" ? levelsOf(given, pressure) : [];
  const [least = 0, most = 0] = extent([...all.map(({ value }) => value), ...levels.map(({ value }) => value)]);
  const spare = Math.max((most - least) * 0.1, Math.abs(most) * 0.02, 1e-6);
  const half = Math.max(4000, last - first) * 0.52;
  const x = scaleTime([new Date((first + last) / 2 - half), new Date((first + last) / 2 + half)], [0, 1]);
  const y = scaleLinear([least - spare, most + spare], [0, 1]);
  const format = timeFormat(2 * half <= 24 * 3600e3 ? "%H:%M:%S" : "%d %b %Y");
  const decimals = quantity === "pressure" && pressure === "bar" ? 1 : 0;
  return {
    curves: series.flatMap(({ position, points }, ink) => {
      const placed = points.map(({ ms, value }) => ({ ms, x: x(new Date(ms)), y: y(value) }));
      const end = placed.at(-1);
      return end ? [{ position, ink, stretches: stretchesOf(placed), end }] : [];
    }),
    levels: levels.map(({ value, words, kind }) => ({ at: y(value), words, kind })),
    xTicks: x.ticks(4).map((date) => ({ at: x(date), label: format(date) })),
    yTicks: y.ticks(4).map((value) => ({ at: y(value), label: figure(value, decimals) })),
    unit: quantity === "pressure" ? `${pressure} gauge` : temperature === "degC" ? "°C" : "°F",
  };
}

function levelsOf(given: readonly CurveBody[], unit: PressureUnit) {
  const once = (kpa: readonly (number | null)[]) => [...new Set(kpa.flatMap((one) => (one === null ? [] : [one])))];
  const placards = once(given.map(({ placardKpa }) => placardKpa));
  const lamps = once(given.map(({ lampKpa }) => lampKpa));
  return [
    ...placards.map((kpa) => ({ value: pressureIn(unit, kpa), words: "placard, cold", kind: "placard" as const })),
    ...lamps.map((kpa) => ({ value: pressureIn(unit, kpa), words: "lamp lit at or below", kind: "lamp" as const })),
  ];
}

function stretchesOf(points: readonly { readonly ms: number; readonly x: number; readonly y: number }[]) {
  const stretches: { x: number; y: number }[][] = [];
  points.forEach(({ ms, x, y }, i) => {
    const before = points[i - 1];
    if (!before || ms - before.ms > GAP_MS) stretches.push([]);
    stretches.at(-1)?.push({ x, y });
  });
  return stretches;
}
