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

type Stretch = readonly [fromM: number, toM: number];

/** Level and success of a band over the distance; nothing of it hangs on a width. */
export interface BandCurve {
  readonly band: BandName;
  /** Over all distances. */
  readonly points: readonly CurvePoint[];
  /** About where telegrams begin to be lost, for both bands the same. */
  readonly falling: readonly CurvePoint[];
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
  const halves = BAND_NAMES.map((band) => halfDistance(settings, band));
  const stretch = fallingStretch([settings.distanceM, ...halves.flatMap((half) => half ?? [])]);
  return BAND_NAMES.map((band, i) => {
    const at = (distanceM: number): CurvePoint => {
      const { receivedDbm, ebN0Db, apart } = linkOf({ ...settings, distanceM }, band);
      const known = ebN0Db < OPEN_DB[0] ? 0 : ebN0Db > OPEN_DB[1] ? 1 : theory.success(ebN0Db);
      return { distanceM, receivedDbm, success: apart.isInBand ? known : 0 };
    };
    return {
      band,
      points: distancesIn(LINK_RANGES.distanceM).map(at),
      falling: distancesIn(stretch).map(at),
      table: ROUND_M.map(at),
      noiseDbm: linkOf(settings, band).noiseDbm,
      halfM: halves[i],
    };
  });
}

function distancesIn([fromM, toM]: Stretch): readonly number[] {
  return Array.from({ length: CURVE_POINTS }, (_, i) => fromM * (toM / fromM) ** (i / (CURVE_POINTS - 1)));
}

/** Wide enough for some distances, with as much again at both ends. */
function fallingStretch(distances: readonly number[]): Stretch {
  const [leastM, mostM] = LINK_RANGES.distanceM;
  return [Math.max(leastM, Math.min(...distances) / 3), Math.min(mostM, Math.max(...distances) * 3)];
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
  readonly noise: readonly { readonly y: number; readonly labelY: number; readonly words: string }[];
}

const HEIGHT_PX = 320;
/** Where lines are named, as a share of the width; after a third they no longer swing. */
const LABEL_SHARE = 0.4;
/** Room over the strongest and below the weakest, in dB. */
const ROOM_DB = 8;
/** Below the noise nothing is drawn but so much, in dB. */
const BELOW_NOISE_DB = 30;

export function levelChart(curves: readonly BandCurve[], settings: LinkSettings, widthPx: number): LevelChart {
  const box = plotBox(widthPx, HEIGHT_PX);
  const { place: x, axis: across } = distanceAxis(box, LINK_RANGES.distanceM);
  const noises = curves.map(({ noiseDbm }) => noiseDbm);
  const least = Math.min(...noises) - BELOW_NOISE_DB;
  const levels = curves.flatMap(({ points }) => points.map(({ receivedDbm }) => receivedDbm));
  const most = Math.max(...levels, ...noises) + ROOM_DB;
  const scale = scaleLinear([least, most], [box.heightPx - box.bottomPx, box.topPx]);
  const y = (dbm: number) => scale(dbm);
  const labelled = Math.round(LABEL_SHARE * (CURVE_POINTS - 1));
  const [lowThere = 0, highThere = 0] = curves.map(({ points }) => points[labelled]?.receivedDbm ?? 0);
  const isOne = Math.abs(noises[0]! - noises[1]!) < 0.05;
  return {
    box,
    across,
    up: upAxis(scale, (value) => figure(value, 0)),
    hereX: x(settings.distanceM),
    lines: curves.map(({ band, points }, i) => ({
      band,
      path: stretchesOver(points, least)
        .map((stretch) => strokePath(stretch.map((point) => ({ x: x(point.distanceM), y: y(point.receivedDbm) }))))
        .join(""),
      label: {
        x: x(points[labelled]!.distanceM) + ((i === 0) === highThere > lowThere ? -34 : 34),
        y: y(points[labelled]!.receivedDbm) + ((i === 0) === highThere > lowThere ? 14 : -8),
        words: shortName(band),
      },
    })),
    noise: curves
      .filter((_, i) => i === 0 || !isOne)
      .map(({ band, noiseDbm }) => ({
        y: y(noiseDbm),
        // The lower of two is named below its line.
        labelY: y(noiseDbm) + (noiseDbm < Math.max(...noises) && !isOne ? 16 : -6),
        words: isOne ? "noise" : `noise at ${shortName(band)}`,
      })),
    steps: stepsOf(curves, x, ({ receivedDbm }) => [
      y(Math.max(least, receivedDbm)),
      `${figure(receivedDbm, 1)}\u202fdBm`,
    ]),
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
  const falling = curves[0]?.falling ?? [];
  const stretch: Stretch = [falling[0]?.distanceM ?? 1, falling.at(-1)?.distanceM ?? 10];
  const isIn = (distanceM: number) => distanceM >= stretch[0] && distanceM <= stretch[1];
  const { place: x, axis: across } = distanceAxis(box, stretch);
  const scale = scaleLinear([0, 1], [box.heightPx - box.bottomPx, box.topPx]);
  const y = (share: number) => scale(share);
  const points = measured
    .filter((one) => isIn(one.distanceM))
    .map(({ distanceM, band }) => {
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
    lines: curves.map(({ band, falling: all }, i) => {
      const isNearer = (curves[i]?.halfM ?? Infinity) < (curves[1 - i]?.halfM ?? Infinity);
      const [atX, aside] = fallsAt(all, x);
      return {
        band,
        path: strokePath(all.map(({ distanceM, success }) => ({ x: x(distanceM), y: y(success) }))),
        label: {
          x: Math.min(widthPx - 24, aside ? atX + (isNearer ? -34 : 34) : atX + 60),
          y: aside ? y(isNearer ? 0.3 : 0.7) : y(all[0]?.success ?? 0) + (all[0]?.success ? 18 : -8) - 18 * i,
          words: shortName(band),
        },
      };
    }),
    measured: points,
    steps: [
      ...points.map(({ x: atX, y: atY, words }) => ({ x: atX, y: atY, words })),
      ...stepsOf(curves, x, ({ success }) => [y(success), `${figure(100 * success, 1)}\u202f%`], isIn),
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

function distanceAxis(box: PlotBox, stretch: Stretch) {
  const scale = scaleLog([...stretch], [box.leftPx, box.widthPx - box.rightPx]);
  const most = Math.max(2, Math.floor((box.widthPx - box.leftPx - box.rightPx) / TICK_PX));
  const sets = [[1, 2, 3, 5, 7], [1, 2, 5], [1, 3], [1]].map((digits) =>
    DECADES.flatMap((decade) => digits.map((digit) => Number((digit * decade).toPrecision(2)))).filter(
      (one) => one >= stretch[0] && one <= stretch[1],
    ),
  );
  const ticks = sets.find((set) => set.length <= most) ?? sets.at(-1) ?? [];
  const place = (distanceM: number) => scale(distanceM);
  return { place, axis: { place, ticks: ticks.map((one) => ({ at: scale(one), label: String(one) })) } };
}

const DECADES = [0.1, 1, 10, 100, 1000];
/** Room that a figure on the axis takes. */
const TICK_PX = 54;

function upAxis(scale: ScaleLinear<number, number>, label: (value: number) => string): PlotAxis {
  return {
    place: (value) => scale(value),
    ticks: scale.ticks(6).map((value) => ({ at: scale(value), label: label(value) })),
  };
}

/** What of a line lies over the foot of its drawing; below it there is nothing to see. */
function stretchesOver(points: readonly CurvePoint[], leastDbm: number): readonly (readonly CurvePoint[])[] {
  const stretches: CurvePoint[][] = [[]];
  for (const point of points) {
    if (point.receivedDbm >= leastDbm) stretches.at(-1)?.push(point);
    else if (stretches.at(-1)?.length) stretches.push([]);
  }
  return stretches;
}

/** Where a line falls through one half, and whether it does so in sight. */
function fallsAt(points: readonly CurvePoint[], x: (distanceM: number) => number): readonly [number, boolean] {
  const at = points.findLastIndex(({ success }) => success >= 0.5);
  const isInSight = at >= 0 && at < points.length - 1;
  return [x(points[isInSight ? at : 0]?.distanceM ?? 1), isInSight];
}

function stepsOf(
  curves: readonly BandCurve[],
  x: (distanceM: number) => number,
  of: (point: CurvePoint) => readonly [y: number, words: string],
  isIn: (distanceM: number) => boolean = () => true,
): readonly ChartStep[] {
  return ROUND_M.flatMap((distanceM, i) =>
    (isIn(distanceM) ? curves : []).map(({ band, table }) => {
      const [y, words] = of(table[i]!);
      return { x: x(distanceM), y, words: `${shortName(band)} at ${metres(distanceM)}: ${words}` };
    }),
  );
}
