import { type ScaleLinear, scaleLinear, scaleLog } from "d3";
import {
  BAND_NAMES,
  BANDS,
  type BandName,
  LINK_RANGES,
  type LinkSettings,
  linkOf,
  theoryFor,
} from "../../../decoders/radio/link.ts";
import { levelFor } from "../../../decoders/radio/noncoherent.ts";
import type { BandTriedBody } from "../../../server/http/wire/bands.ts";
import { type PlotAxis, type PlotBox, plotBox, strokePath } from "../bench/plot.ts";
import { figure } from "../quantities.ts";

/** What a band is at one distance. */
export interface CurvePoint {
  readonly distanceM: number;
  readonly receivedDbm: number;
  readonly success: number;
}

/** Level and success of a band over the distance; nothing of it hangs on a width. */
export interface BandCurve {
  readonly band: BandName;
  readonly points: readonly CurvePoint[];
  /** At round distances, for a table and for reading off. */
  readonly table: readonly CurvePoint[];
  readonly noiseDbm: number;
  /** Farthest that half of the telegrams come through; `undefined` where they do so nowhere, or farther than shown. */
  readonly halfM: number | undefined;
}

const CURVE_POINTS = 181;
const ROUND_M = [0.3, 1, 3, 10, 30, 100, 300, 1000, 3000];
/** Beyond these no bit, or every bit, is right: theory need not be asked. */
const OPEN_DB = [-5, 18] as const;

export function bandCurves(settings: LinkSettings): readonly BandCurve[] {
  const theory = theoryFor(settings.keying);
  const [leastM, mostM] = LINK_RANGES.distanceM;
  return BAND_NAMES.map((band) => {
    const at = (distanceM: number): CurvePoint => {
      const { receivedDbm, ebN0Db, apart } = linkOf({ ...settings, distanceM }, band);
      const known = ebN0Db < OPEN_DB[0] ? 0 : ebN0Db > OPEN_DB[1] ? 1 : theory.success(ebN0Db);
      return { distanceM, receivedDbm, success: apart.isInBand ? known : 0 };
    };
    const points = Array.from({ length: CURVE_POINTS }, (_, i) =>
      at(leastM * (mostM / leastM) ** (i / (CURVE_POINTS - 1))),
    );
    return {
      band,
      points,
      table: ROUND_M.map(at),
      noiseDbm: linkOf(settings, band).noiseDbm,
      halfM: halfDistance(settings, band),
    };
  });
}

/** Farthest distance from which half of the telegrams come through. */
export function halfDistance(settings: LinkSettings, band: BandName): number | undefined {
  const level = levelFor(theoryFor(settings.keying).success, 0.5);
  const [leastM, mostM] = LINK_RANGES.distanceM;
  const isHeard = (distanceM: number) => {
    const { ebN0Db, apart } = linkOf({ ...settings, distanceM }, band);
    return apart.isInBand && ebN0Db >= level;
  };
  if (isHeard(mostM)) return undefined;
  const steps = 600;
  for (let i = steps - 1; i >= 0; i--) {
    let near = leastM * (mostM / leastM) ** (i / steps);
    if (!isHeard(near)) continue;
    let far = near * (mostM / leastM) ** (1 / steps);
    while (far - near > 0.001 * near) {
      const middle = (near + far) / 2;
      if (isHeard(middle)) near = middle;
      else far = middle;
    }
    return near;
  }
  return undefined;
}

export interface BandChart {
  readonly box: PlotBox;
  readonly across: PlotAxis;
  readonly up: PlotAxis;
  /** The distance that is set. */
  readonly hereX: number;
  readonly lines: readonly {
    readonly band: BandName;
    readonly path: string;
    readonly label: { readonly x: number; readonly y: number; readonly words: string };
  }[];
  readonly steps: readonly ChartStep[];
}

interface ChartStep {
  readonly x: number;
  readonly y: number;
  readonly words: string;
}

export interface LevelChart extends BandChart {
  readonly noise: readonly { readonly y: number; readonly words: string }[];
}

const HEIGHT_PX = 320;
/** Room over the strongest and below the weakest, in dB. */
const ROOM_DB = 8;
/** Below the noise nothing is drawn but so much, in dB. */
const BELOW_NOISE_DB = 30;

export function levelChart(curves: readonly BandCurve[], settings: LinkSettings, widthPx: number): LevelChart {
  const box = plotBox(widthPx, HEIGHT_PX);
  const { place: x, axis: across } = distanceAxis(box);
  const noises = curves.map(({ noiseDbm }) => noiseDbm);
  const least = Math.min(...noises) - BELOW_NOISE_DB;
  const levels = curves.flatMap(({ points }) => points.map(({ receivedDbm }) => receivedDbm));
  const most = Math.max(...levels, ...noises) + ROOM_DB;
  const scale = scaleLinear([least, most], [box.heightPx - box.bottomPx, box.topPx]);
  const y = (dbm: number) => scale(Math.max(least, dbm));
  const isOne = Math.abs(noises[0]! - noises[1]!) < 0.05;
  return {
    box,
    across,
    up: upAxis(scale, (value) => figure(value, 0)),
    hereX: x(settings.distanceM),
    lines: curves.map(({ band, points }, i) => ({
      band,
      path: strokePath(points.map(({ distanceM, receivedDbm }) => ({ x: x(distanceM), y: y(receivedDbm) }))),
      label: labelAt(points, 0.3 + 0.22 * i, (point) => ({ x: x(point.distanceM), y: y(point.receivedDbm) }), band, i),
    })),
    noise: curves
      .filter((_, i) => i === 0 || !isOne)
      .map(({ band, noiseDbm }) => ({
        y: y(noiseDbm),
        words: isOne ? "noise" : `noise at ${shortName(band)}`,
      })),
    steps: stepsOf(curves, x, ({ receivedDbm }) => [y(receivedDbm), `${figure(receivedDbm, 1)}\u202fdBm`]),
  };
}

/** What the decoder did at a distance. */
export interface MeasuredPoint {
  readonly distanceM: number;
  readonly band: BandTriedBody;
}

export interface SuccessChart extends BandChart {
  readonly measured: readonly {
    readonly band: BandName;
    readonly x: number;
    readonly y: number;
    readonly fromY: number;
    readonly toY: number;
    /** With repair. */
    readonly readY: number;
  }[];
}

export function successChart(
  curves: readonly BandCurve[],
  settings: LinkSettings,
  measured: readonly MeasuredPoint[],
  widthPx: number,
): SuccessChart {
  const box = plotBox(widthPx, HEIGHT_PX);
  const { place: x, axis: across } = distanceAxis(box);
  const scale = scaleLinear([0, 1], [box.heightPx - box.bottomPx, box.topPx]);
  const y = (share: number) => scale(share);
  const points = measured.map(({ distanceM, band }) => {
    // Side by side, or one band's point would hide the other's.
    const aside = band.band === "315" ? -5 : 5;
    const { sent, withoutRepair, read } = band;
    return {
      band: band.band,
      x: x(distanceM) + aside,
      y: y(withoutRepair.count / sent),
      fromY: y(withoutRepair.from),
      toY: y(withoutRepair.to),
      readY: y(read.count / sent),
      words: `${shortName(band.band)} at ${metres(distanceM)}: ${withoutRepair.count} of ${sent} without repair, ${read.count} in all`,
    };
  });
  return {
    box,
    across,
    up: upAxis(scale, (value) => figure(100 * value, 0)),
    hereX: x(settings.distanceM),
    lines: curves.map(({ band, points: all }, i) => ({
      band,
      path: strokePath(all.map(({ distanceM, success }) => ({ x: x(distanceM), y: y(success) }))),
      label: successLabel(all, (point) => ({ x: x(point.distanceM), y: y(point.success) }), band, i),
    })),
    measured: points,
    steps: [
      ...points.map(({ x: atX, y: atY, words }) => ({ x: atX, y: atY, words })),
      ...stepsOf(curves, x, ({ success }) => [y(success), `${figure(100 * success, 1)}\u202f%`]),
    ],
  };
}

/** A try is drawn where all but the distance is as it was. */
export function isSameBut(settings: LinkSettings, other: LinkSettings): boolean {
  const all: Readonly<Record<string, string | number>> = other;
  return Object.entries(settings).every(([key, value]) => key === "distanceM" || all[key] === value);
}

/** `315.00` and `433.92`: the names that stand on lines. */
export function shortName(band: BandName): string {
  return figure(BANDS[band] / 1e6, 2);
}

export function metres(distanceM: number): string {
  return `${figure(distanceM, distanceM < 10 ? 1 : 0)}\u202fm`;
}

function distanceAxis(box: PlotBox) {
  const scale = scaleLog([...LINK_RANGES.distanceM], [box.leftPx, box.widthPx - box.rightPx]);
  const ticks = [0.3, 1, 3, 10, 30, 100, 300, 1000, 5000].filter(
    (_, i) => box.widthPx >= 420 || i % 2 === 1 || i === 8,
  );
  const place = (distanceM: number) => scale(distanceM);
  return { place, axis: { place, ticks: ticks.map((one) => ({ at: scale(one), label: String(one) })) } };
}

function upAxis(scale: ScaleLinear<number, number>, label: (value: number) => string): PlotAxis {
  return {
    place: (value) => scale(value),
    ticks: scale.ticks(6).map((value) => ({ at: scale(value), label: label(value) })),
  };
}

type Place = (point: CurvePoint) => { readonly x: number; readonly y: number };

/** Above the first line and below the second, so that neither lies on the other. */
function labelAt(points: readonly CurvePoint[], share: number, place: Place, band: BandName, i: number) {
  const { x, y } = place(points[Math.round(share * (points.length - 1))]!);
  return { x, y: i === 0 ? y + 22 : y - 12, words: shortName(band) };
}

/** Beside the line where it falls, on its left for the first and on its right for the second. */
function successLabel(points: readonly CurvePoint[], place: Place, band: BandName, i: number) {
  const falls = points.findLast(({ success }) => success >= (i === 0 ? 0.35 : 0.65)) ?? points[0]!;
  const { x, y } = place(falls);
  return { x: i === 0 ? x - 34 : x + 34, y, words: shortName(band) };
}

function stepsOf(
  curves: readonly BandCurve[],
  x: (distanceM: number) => number,
  of: (point: CurvePoint) => readonly [y: number, words: string],
): readonly ChartStep[] {
  return ROUND_M.flatMap((distanceM, i) =>
    curves.map(({ band, table }) => {
      const [y, words] = of(table[i]!);
      return { x: x(distanceM), y, words: `${shortName(band)} at ${metres(distanceM)}: ${words}` };
    }),
  );
}
