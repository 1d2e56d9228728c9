import { type PressureUnit, pressureIn } from "../../../decoders/units.ts";
import type { LotBody, SpecimenBody } from "../../../server/http/wire/lots.ts";
import { counted } from "../quantities.ts";
import { cellWords, numbersWords, setPointWords } from "./lotWords.ts";
import { axisOver, type PlotAxis, type PlotBox } from "./plot.ts";
import { type Zones, zonesOf } from "./zones.ts";

/** The errors of all specimens on one scale: a line for each specimen, in it a lane for each set point. */
export interface ErrorsPlot {
  readonly box: PlotBox;
  readonly error: PlotAxis;
  readonly zeroAt: number;
  readonly rows: readonly ErrorsRow[];
  /** Whether set points have lanes of their own; else all lie on one. */
  readonly hasLanes: boolean;
  /** A sentence: what there is to see. */
  readonly says: string;
}

interface ErrorsRow {
  readonly number: number;
  readonly topPx: number;
  readonly heightPx: number;
  readonly verdict: SpecimenBody["verdict"];
  readonly leftOut: boolean;
  readonly dots: readonly ErrorDot[];
  /** Why it has no dot; empty where it has. */
  readonly nothing: string;
  readonly zones: readonly ErrorZone[];
}

export interface ErrorDot {
  readonly number: number;
  readonly setPoint: number;
  readonly way: "up" | "down";
  readonly x: number;
  readonly y: number;
  readonly fromX: number;
  readonly toX: number;
  readonly verdict: "within" | "outside" | "cannot tell" | null;
  /** Which specimen, set point, error and verdict. */
  readonly words: string;
}

/** The limits of a lane and where nobody can tell. */
interface ErrorZone {
  readonly yPx: number;
  readonly heightPx: number;
  readonly limitsAt: readonly number[];
  readonly unsure: readonly { readonly fromX: number; readonly toX: number }[];
}

const LANE_PX = 7;
const ROW_GAP_PX = 7;
const ONE_LANE_PX = 18;
/** With more specimens than this, set points share one lane. */
const MOST_WITH_LANES = 40;

/** @returns `undefined` where no error is known yet. */
export function errorsPlot(
  rows: readonly SpecimenBody[],
  lot: Pick<LotBody, "setPoints" | "counts">,
  unit: PressureUnit,
  widthPx: number,
): ErrorsPlot | undefined {
  const known = rows.flatMap(({ cells }) => cells.filter(({ errorKpa }) => errorKpa !== null));
  if (known.length === 0) return undefined;
  const hasLanes = rows.length <= MOST_WITH_LANES && lot.setPoints.length > 1;
  const lanes = hasLanes ? lot.setPoints.length : 1;
  const lanePx = hasLanes ? LANE_PX : ONE_LANE_PX;
  const rowPx = lanes * lanePx + ROW_GAP_PX;
  const box: PlotBox = {
    widthPx,
    heightPx: rows.length * rowPx + 74,
    leftPx: 44,
    topPx: 26,
    rightPx: 12,
    bottomPx: 48,
  };
  const toUnit = (kpa: number) => pressureIn(unit, kpa);
  const values = rows.flatMap(({ cells, figures }) => [
    ...cells.flatMap(({ errorKpa, expandedKpa }) =>
      errorKpa === null ? [] : [errorKpa - (expandedKpa ?? 0), errorKpa + (expandedKpa ?? 0)],
    ),
    ...figures.flatMap((one) => (one.key === "pressure" ? zoneEnds(zonesOf(one)) : [])),
  ]);
  const error = axisOver([0, ...values].map(toUnit), [box.leftPx, widthPx - box.rightPx]);
  const x = (kpa: number) => error.place(toUnit(kpa));
  return {
    box,
    error,
    zeroAt: x(0),
    hasLanes,
    says: saysOf(rows, lot),
    rows: rows.map((row, i) => {
      const topPx = box.topPx + i * rowPx;
      const laneY = (setPoint: number) => topPx + ROW_GAP_PX / 2 + ((hasLanes ? setPoint : 0) + 0.5) * lanePx;
      const dots = row.cells.flatMap((cell): ErrorDot[] => {
        const point = lot.setPoints[cell.setPoint];
        if (cell.errorKpa === null || !point) return [];
        const half = cell.expandedKpa ?? 0;
        return [
          {
            number: row.number,
            setPoint: cell.setPoint,
            way: point.way,
            x: x(cell.errorKpa),
            y: laneY(cell.setPoint),
            fromX: x(cell.errorKpa - half),
            toX: x(cell.errorKpa + half),
            verdict: row.leftOut === "" ? cell.verdict : null,
            words: `Specimen ${row.number} at ${setPointWords(point, unit)}: ${cellWords(cell, unit)}\u202f${unit}, ${
              row.leftOut === "" ? (cell.verdict ?? "not decided") : "left out"
            }`,
          },
        ];
      });
      return {
        number: row.number,
        topPx,
        heightPx: rowPx,
        verdict: row.verdict,
        leftOut: row.leftOut !== "",
        dots,
        nothing: dots.length > 0 ? "" : row.state === "heard" ? "no reading at a set point yet" : row.state,
        zones: zonesIn(row, hasLanes, { topPx, heightPx: rowPx, laneY, lanePx }, x),
      };
    }),
  };
}

function zoneEnds(zones: Zones | undefined): number[] {
  if (!zones) return [];
  return [
    ...(zones.lower === null ? [] : [zones.lower]),
    ...(zones.upper === null ? [] : [zones.upper]),
    ...zones.unsure.flatMap(({ from, to }) => [from, to]),
  ];
}

/** Where a specimen's line lies, and the lanes in it. */
interface RowPlace {
  readonly topPx: number;
  readonly heightPx: number;
  readonly laneY: (setPoint: number) => number;
  readonly lanePx: number;
}

function zonesIn(row: SpecimenBody, hasLanes: boolean, at: RowPlace, x: (kpa: number) => number): ErrorZone[] {
  const figures = row.figures.filter(({ key, setPoint }) => key === "pressure" && setPoint !== null);
  // On one lane the zones of the first set point stand for all.
  const shown = hasLanes ? figures : figures.slice(0, 1);
  return shown.flatMap((figure, i) => {
    const zones = zonesOf(figure);
    if (!zones || figure.setPoint === null) return [];
    // The first and the last reach to the lines between specimens.
    const topPx = i === 0 ? at.topPx : at.laneY(figure.setPoint) - at.lanePx / 2;
    const endPx = i === shown.length - 1 ? at.topPx + at.heightPx : at.laneY(figure.setPoint) + at.lanePx / 2;
    return [
      {
        yPx: topPx,
        heightPx: endPx - topPx,
        limitsAt: [zones.lower, zones.upper].flatMap((limit) => (limit === null ? [] : [x(limit)])),
        unsure: zones.unsure.map(({ from, to }) => ({ fromX: x(from), toX: x(to) })),
      },
    ];
  });
}

function saysOf(rows: readonly SpecimenBody[], { counts }: Pick<LotBody, "counts">): string {
  const counting = rows.filter(({ leftOut }) => leftOut === "");
  const measured = (verdict: "outside" | "cannot tell") =>
    counting.filter(({ cells }) => cells.some((cell) => cell.verdict === verdict && cell.errorKpa !== null));
  const named = (some: readonly SpecimenBody[]) => `specimen${some.length === 1 ? "" : "s"} ${numbersWords(some)}`;
  const outside = measured("outside");
  const unsure = measured("cannot tell").filter((row) => !outside.includes(row));
  const all = counts.within + counts.outside + counts.cannotTell;
  const parts = [
    ...(outside.length === 0 ? [] : [`outside at some pressure: ${named(outside)}`]),
    ...(unsure.length === 0 ? [] : [`too near a limit to tell: ${named(unsure)}`]),
  ];
  if (parts.length === 0)
    return `Of ${counted(all, "specimen")} none is outside at any pressure, as far as they were read`;
  const text = parts.join("; ");
  return text.charAt(0).toUpperCase() + text.slice(1);
}
