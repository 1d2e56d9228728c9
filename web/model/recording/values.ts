import { extent, median, scaleLinear } from "d3";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import {
  celsiusFrom,
  kpaFrom,
  type PressureUnit,
  pressureIn,
  type TemperatureUnit,
  temperatureIn,
} from "../../../decoders/units.ts";
import { counted, figure, listed } from "../quantities.ts";
import type { Settings } from "../settings.ts";
import { type Frame, isUnread } from "./frames.ts";
import { px } from "./px.ts";
import { decimalsFor, type TimeRange } from "./range.ts";

/** What a sensor said of one quantity at one time. */
export interface ValuePoint {
  readonly atSeconds: number;
  /** In the unit that the device shows. */
  readonly value: number;
  /** Half a step of the field: finer than that the telegram does not tell. `undefined` where the step is not known. */
  readonly half: number | undefined;
  /** The frame of its first copy. */
  readonly frame: Frame;
  /** First bit of the field it was read from. */
  readonly fieldAt: number | undefined;
  readonly plausible: boolean;
}

/** A time in which nothing is known, and why. */
export interface ValueGap extends TimeRange {
  readonly because: string;
}

export interface ValueSeries {
  /** Which of the inks, from 0; its letter stands at the line's end. */
  readonly ink: number;
  readonly letter: string;
  readonly identity: string;
  readonly points: readonly ValuePoint[];
  /** Points between which a line may be drawn. */
  readonly stretches: readonly (readonly ValuePoint[])[];
  readonly gaps: readonly ValueGap[];
}

export interface ValueChart {
  readonly quantity: "pressure" | "temperature";
  readonly unit: string;
  /** All of them; the drawing takes the first five, the table the rest as well. */
  readonly series: readonly ValueSeries[];
  /** Least and most of all values, with some room. */
  readonly least: number;
  readonly most: number;
  readonly says: string;
}

type Units = Pick<Settings, "pressure" | "temperature">;
type Quantity = ValueChart["quantity"];

/** More cannot be told apart in one drawing. */
export const MOST_SERIES = 5;
const LETTERS = "ABCDE";
/** A silence so many times as long as usual is a gap. */
const LONG_SILENCE = 3;

/** Pressure and temperature of each sensor over time; no chart for what no telegram told. */
export function valueCharts(
  frames: readonly Frame[],
  layoutOf: (id: string) => Layout | undefined,
  units: Units,
): ValueChart[] {
  return (["pressure", "temperature"] as const).flatMap((quantity) => {
    const bySensor = new Map<string, ValuePoint[]>();
    const told = new Set<string>();
    for (const frame of frames) {
      const { telegram } = frame;
      if (!telegram?.identity || !telegram.telegram.verified || told.has(telegram.id)) continue;
      told.add(telegram.id);
      const point = pointOf(frame, quantity, layoutOf(telegram.telegram.layout), units);
      if (point) bySensor.set(telegram.identity, [...(bySensor.get(telegram.identity) ?? []), point]);
    }
    const all = [...bySensor.values()].flat();
    const [low, high] = extent(all, ({ value }) => value);
    if (low === undefined || high === undefined) return [];
    const spare = Math.max((high - low) * 0.12, leastSpare(quantity, units));
    const names = [...bySensor.keys()];
    const unit = unitWords(quantity, units);
    return [
      {
        quantity,
        unit,
        series: names.map((identity, ink) => seriesOf(identity, ink, bySensor.get(identity) ?? [], frames)),
        least: low - spare,
        most: high + spare,
        says: saidOf(quantity, unit, [...bySensor], low, high),
      },
    ];
  });
}

/** A chart as it is drawn: pixels from the upper left corner. */
export interface ValueDrawing {
  readonly yTicks: readonly { readonly y: number; readonly label: string }[];
  readonly series: readonly SeriesDrawing[];
}

export interface SeriesDrawing {
  readonly series: ValueSeries;
  /** SVG paths: the values, joined where they may be; what lies within half a step; where nothing is known. */
  readonly line: string;
  readonly band: string;
  readonly gaps: string;
  readonly dots: readonly { readonly point: ValuePoint; readonly x: number; readonly y: number }[];
  /** Where the letter stands; `undefined` where nothing of it is in sight. */
  readonly end: { readonly x: number; readonly y: number } | undefined;
}

/** Dots nearer to each other than this are not told apart; the line and the band are. */
const LEAST_APART_PX = 5;

export function drawnValues(chart: ValueChart, range: TimeRange, widthPx: number, heightPx: number): ValueDrawing {
  const x = scaleLinear([range.fromSeconds, range.toSeconds], [0, widthPx]);
  const y = scaleLinear([chart.least, chart.most], [heightPx, 0]);
  const inSight = ({ atSeconds }: ValuePoint) => atSeconds >= range.fromSeconds && atSeconds <= range.toSeconds;
  const values = y.ticks(3);
  const decimals = decimalsFor((values[1] ?? 1) - (values[0] ?? 0));
  return {
    yTicks: values.map((value) => ({ y: y(value), label: figure(value, decimals) })),
    series: chart.series.slice(0, MOST_SERIES).map((series) => {
      const seen = series.points.filter(inSight);
      const dots: { point: ValuePoint; x: number; y: number }[] = [];
      for (const point of seen) {
        const at = x(point.atSeconds);
        const last = dots.at(-1);
        if (last === undefined || at - last.x >= LEAST_APART_PX || !point.plausible) {
          dots.push({ point, x: at, y: y(point.value) });
        }
      }
      const place = (point: ValuePoint) => `${px(x(point.atSeconds))} ${px(y(point.value))}`;
      const last = seen.at(-1);
      return {
        series,
        dots,
        line: series.stretches
          .map((stretch) => (stretch.length > 1 ? `M${stretch.map(place).join("L")}` : ""))
          .join(""),
        band: series.stretches.map((stretch) => bandPath(stretch, x, y)).join(""),
        gaps: series.gaps
          .map((gap) => {
            const before = series.points.findLast(({ atSeconds }) => atSeconds <= gap.fromSeconds);
            const level = px(y(before?.value ?? chart.least));
            return `M${px(x(gap.fromSeconds))} ${level}H${px(x(gap.toSeconds))}`;
          })
          .join(""),
        end: last && { x: x(last.atSeconds), y: y(last.value) },
      };
    }),
  };
}

/** Least a band reaches to each side of a lone value, so that it is seen at all. */
const LONE_PX = 6;

function bandPath(stretch: readonly ValuePoint[], x: (value: number) => number, y: (value: number) => number): string {
  const known = stretch.filter((point) => point.half !== undefined);
  const only = known[0];
  if (only === undefined) return "";
  const edge = (sign: 1 | -1) => (point: ValuePoint) =>
    [x(point.atSeconds), y(point.value + sign * (point.half ?? 0))] as const;
  const upper = known.map(edge(1));
  const lower = known.map(edge(-1)).reverse();
  if (known.length === 1) {
    const at = x(only.atSeconds);
    const [top, bottom] = [upper[0]?.[1] ?? 0, lower[0]?.[1] ?? 0];
    return `M${px(at - LONE_PX)} ${px(top)}H${px(at + LONE_PX)}V${px(bottom)}H${px(at - LONE_PX)}Z`;
  }
  return `M${[...upper, ...lower].map(([a, b]) => `${px(a)} ${px(b)}`).join("L")}Z`;
}

function pointOf(frame: Frame, quantity: Quantity, layout: Layout | undefined, units: Units): ValuePoint | undefined {
  const { telegram } = frame;
  if (!telegram) return undefined;
  for (const [name, { value, unit, kPaGauge, plausible }] of Object.entries(telegram.telegram.fields)) {
    if (typeof value !== "number") continue;
    const field = layout?.fields.find((one) => one.name === name);
    const step = field?.scale === undefined ? undefined : Math.abs(field.scale) / 2;
    const common = { atSeconds: telegram.telegram.atSeconds, frame, fieldAt: field?.at, plausible };
    if (quantity === "pressure" && (unit === "kPa" || unit === "psi" || unit === "bar")) {
      const kpa = kPaGauge ?? kpaFrom(value, unit);
      return {
        ...common,
        value: pressureIn(units.pressure, kpa),
        half: step === undefined ? undefined : pressureIn(units.pressure, kpaFrom(step, unit)),
      };
    }
    if (quantity === "temperature" && (unit === "degC" || unit === "degF")) {
      const perC = units.temperature === "degC" ? 1 : 1.8;
      return {
        ...common,
        value: temperatureIn(units.temperature, celsiusFrom(value, unit)),
        half: step === undefined ? undefined : (unit === "degC" ? step : step / 1.8) * perC,
      };
    }
  }
  return undefined;
}

function seriesOf(identity: string, ink: number, points: readonly ValuePoint[], frames: readonly Frame[]): ValueSeries {
  const apart = points.slice(1).map((point, i) => point.atSeconds - (points[i]?.atSeconds ?? 0));
  const usual = median(apart) ?? 0;
  const stretches: ValuePoint[][] = [];
  const gaps: ValueGap[] = [];
  points.forEach((point, i) => {
    const before = points[i - 1];
    const because = before && gapBetween(before, point, usual, apart.length, frames);
    if (before && because !== undefined) {
      gaps.push({ fromSeconds: before.atSeconds, toSeconds: point.atSeconds, because });
    }
    if (!before || because !== undefined) stretches.push([]);
    stretches.at(-1)?.push(point);
  });
  return { ink, letter: LETTERS[ink] ?? "", identity, points, stretches, gaps };
}

/** Why nothing is drawn between two values; `undefined` where they follow each other. */
function gapBetween(
  before: ValuePoint,
  after: ValuePoint,
  usual: number,
  intervals: number,
  frames: readonly Frame[],
): string | undefined {
  const seconds = after.atSeconds - before.atSeconds;
  if (intervals < 3 || seconds <= LONG_SILENCE * usual) return undefined;
  const unread = frames.filter(
    (frame) => frame.fromSeconds > before.atSeconds && frame.toSeconds < after.atSeconds && isUnread(frame),
  ).length;
  const told = (time: number) => `${time.toFixed(Math.max(1, decimalsFor(usual)))}\u202fs`;
  const silence = `nothing read of it for ${told(seconds)}, usually it speaks every ${told(usual)}`;
  return unread === 0 ? silence : `${silence}; ${counted(unread, "burst")} in between could not be read`;
}

/** What lies nearer together than this is drawn as the same: 5 kPa, 1 °C. */
function leastSpare(quantity: Quantity, units: Units): number {
  if (quantity === "pressure") return pressureIn(units.pressure, 5);
  return units.temperature === "degC" ? 1 : 1.8;
}

function unitWords(quantity: Quantity, units: Units): string {
  return quantity === "pressure" ? PRESSURES[units.pressure] : TEMPERATURES[units.temperature];
}

const PRESSURES: Readonly<Record<PressureUnit, string>> = { kPa: "kPa", psi: "psi", bar: "bar" };
const TEMPERATURES: Readonly<Record<TemperatureUnit, string>> = { degC: "°C", degF: "°F" };

function saidOf(
  quantity: Quantity,
  unit: string,
  sensors: readonly (readonly [string, readonly ValuePoint[]])[],
  low: number,
  high: number,
): string {
  const decimals = unit === "bar" ? 2 : unit === "psi" ? 1 : 0;
  const name = quantity === "pressure" ? "Pressure" : "Temperature";
  const show = (value: number) => figure(value, decimals);
  const span = show(low) === show(high) ? show(high) : `${show(low)} to ${show(high)}`;
  const whole = `${name} of ${counted(sensors.length, "sensor")}: ${span}\u202f${unit}`;
  const changing = sensors.filter(([, points]) => {
    const [least = 0, most = 0] = extent(points, ({ value }) => value);
    const step = 2 * (points[0]?.half ?? 0);
    return most - least > Math.max(step, 1e-9) * 1.5;
  });
  if (changing.length === 0) return `${whole}, none of it changing`;
  return `${whole}; changing: ${listed(changing.slice(0, 3).map(([identity]) => identity))}${changing.length > 3 ? " and more" : ""}`;
}
