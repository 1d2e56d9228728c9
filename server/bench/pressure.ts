import { max, mean, median, sampleStandardDeviation } from "simple-statistics";
import type { AmbientAir } from "../jobs/pressure/ambientAir.ts";
import type { PotFill } from "./fills.ts";
import { grouped } from "./grouped.ts";
import type { Gauge, Lot, SetPoint } from "./lot.ts";
import type { Said } from "./said.ts";
import { type Budget, type BudgetPart, combine, rectangular, repeats } from "./statistics/budget.ts";
import { type CalibrationLine, calibrationLine } from "./statistics/calibrationLine.ts";
import { pooled, type Scatter } from "./statistics/scatter.ts";

/** What a specimen told at one set point, against the gauge. */
export interface Cell {
  readonly setPoint: number;
  readonly readings: number;
  /** Of the gauge while they came; `null` without a reading. */
  readonly gaugeKpa: number | null;
  readonly meanKpa: number | null;
  /** Mean reading less the gauge. */
  readonly errorKpa: number | null;
  /** Of that error; `null` where there is no reading, or nobody said how good the gauge is. */
  readonly budget: Budget | null;
}

export interface PressureFigures {
  readonly cells: readonly Cell[];
  /** Of a reading about the others of its fill, in kPa; `null`: no fill has two. */
  readonly repeatability: Scatter | null;
  /** Largest distance of a set point's error from the straight line through all of them. */
  readonly linearityKpa: number | null;
  /** Largest change of the error between up and down at one set point. */
  readonly hysteresisKpa: number | null;
  readonly meanErrorKpa: number | null;
  /** What the line goes through: the set points with enough readings. */
  readonly points: readonly { readonly setPoint: number; readonly gaugeKpa: number; readonly errorKpa: number }[];
  /** Error against the gauge, pivoted at the middle of the set points; from three set points. */
  readonly line: CalibrationLine | null;
  readonly pivotKpa: number;
}

/** A reading that counts, with the gauge of its moment. */
export interface Paired {
  readonly said: Said;
  readonly fill: PotFill;
  readonly kpa: number;
  readonly gaugeKpa: number;
}

/** The readings that came while the pot stood still, with what the gauge showed. */
export function pairedWith(fills: readonly PotFill[], said: readonly Said[]): readonly Paired[] {
  return said.flatMap((one): Paired[] => {
    if (one.kpa === null) return [];
    const fill = fills.find(({ settled }) => settled && one.atMs >= settled.fromMs && one.atMs <= settled.toMs);
    return fill ? [{ said: one, fill, kpa: one.kpa, gaugeKpa: fill.gaugeAt(one.atMs) }] : [];
  });
}

/** A specimen's pressure against the gauge: errors with their uncertainties, and how they hang together. */
export function pressureFigures(
  lot: Pick<Lot, "setPoints" | "gauge" | "leastReadings">,
  paired: readonly Paired[],
  air: AmbientAir,
): PressureFigures {
  const { setPoints, gauge } = lot;
  const fills = [...grouped(paired, ({ fill }) => fill).values()];
  const repeatability = pooled(fills.map((own) => own.map(({ kpa, gaugeKpa }) => kpa - gaugeKpa)));
  const bySetPoint = grouped(paired, ({ fill }) => fill.setPoint);
  const cells = setPoints.map((_, setPoint): Cell => {
    const own = bySetPoint.get(setPoint) ?? [];
    if (own.length === 0) {
      return { setPoint, readings: 0, gaugeKpa: null, meanKpa: null, errorKpa: null, budget: null };
    }
    return {
      setPoint,
      readings: own.length,
      gaugeKpa: mean(own.map(({ gaugeKpa }) => gaugeKpa)),
      meanKpa: mean(own.map(({ kpa }) => kpa)),
      errorKpa: nano(mean(own.map(({ kpa, gaugeKpa }) => kpa - gaugeKpa))),
      budget: budgetOf(gauge, own, repeatability, air),
    };
  });
  const points = cells.flatMap(({ gaugeKpa, errorKpa, readings, setPoint }) =>
    gaugeKpa === null || errorKpa === null || readings < lot.leastReadings ? [] : [{ setPoint, gaugeKpa, errorKpa }],
  );
  const places = points.map(({ gaugeKpa }) => gaugeKpa);
  const pivotKpa = places.length === 0 ? 0 : mean(places);
  const line = hasThreePlaces(places)
    ? calibrationLine(
        points.map(({ gaugeKpa, errorKpa }) => ({ x: gaugeKpa, y: errorKpa })),
        pivotKpa,
      )
    : null;
  return {
    cells,
    repeatability,
    linearityKpa: line && Math.max(...line.residuals.map(Math.abs)),
    hysteresisKpa: hysteresisOf(setPoints, new Map(points.map(({ setPoint, errorKpa }) => [setPoint, errorKpa]))),
    meanErrorKpa: points.length === 0 ? null : mean(points.map(({ errorKpa }) => errorKpa)),
    points,
    line,
    pivotKpa,
  };
}

/** So that 128.3 less 123.3 is 5, which a limit of 5 still allows. */
function nano(kpa: number): number {
  return Number(kpa.toFixed(9));
}

/** A line through three set points of which two are one place up and down would have nothing to bend by. */
function hasThreePlaces(gaugeKpa: readonly number[]): boolean {
  const sorted = gaugeKpa.toSorted((a, b) => a - b);
  return sorted.filter((x, i) => i === 0 || x - sorted[i - 1]! > 5).length >= 3;
}

/** Standard deviation of the means of several fills of one set point, where the scatter of readings does not explain it. */
function betweenFills(
  own: readonly Paired[],
  readingKpa: number,
): { readonly kpa: number; readonly count: number } | null {
  const groups = [...grouped(own, ({ fill }) => fill).values()];
  if (groups.length < 2) return null;
  const kpa = sampleStandardDeviation(groups.map((group) => mean(group.map((one) => one.kpa - one.gaugeKpa))));
  const expected = readingKpa * Math.sqrt(mean(groups.map(({ length }) => 1 / length)));
  return kpa > expected ? { kpa, count: groups.length } : null;
}

function hysteresisOf(setPoints: readonly SetPoint[], errors: ReadonlyMap<number, number>): number | null {
  const changes = setPoints.flatMap(({ kpa, way }, i) => {
    if (way !== "up") return [];
    const down = setPoints.findIndex((other) => other.way === "down" && other.kpa === kpa);
    const [a, b] = [errors.get(i), errors.get(down)];
    return a === undefined || b === undefined ? [] : [b - a];
  });
  return changes.length === 0 ? null : changes.reduce((most, one) => (Math.abs(one) > Math.abs(most) ? one : most));
}

const SQRT3 = Math.sqrt(3);
const SQRT12 = Math.sqrt(12);

/**
 * The parts of the uncertainty of a specimen's error at a set point. A sensor's step counts only as far as the scatter
 * of its readings does not show it already.
 *
 * @source JCGM 100:2008: 4.2.3 (mean of repeats), 4.3.3 (certificate), 4.3.7 (bounds), F.2.2.1 (resolution).
 */
function budgetOf(gauge: Gauge, own: readonly Paired[], repeatability: Scatter | null, air: AmbientAir): Budget | null {
  const parts = gaugeParts(gauge);
  if (parts === null) return null;
  const count = own.length;
  const all: BudgetPart[] = [...parts];
  if (repeatability) {
    const says = `a reading scatters by ${shown(repeatability.deviation)} kPa; the mean of ${count}`;
    all.push(repeats(repeatability, count, says));
  }
  const fills = betweenFills(own, repeatability?.deviation ?? 0);
  if (fills) {
    const says = `the means of ${fills.count} fills differ by more than their readings scatter`;
    const scatter = { deviation: fills.kpa, freedom: fills.count - 1 };
    all.push(repeats(scatter, fills.count, says, "one fill to the next"));
  }
  const step = median(own.map(({ said }) => said.stepKpa ?? 0));
  const left = Math.sqrt(Math.max(0, (step / SQRT12) ** 2 - (repeatability?.deviation ?? 0) ** 2));
  if (left > 0) {
    all.push(
      rectangular("step of the sensor", `one count is ${shown(step)} kPa, more than its readings scatter`, left),
    );
  }
  const driftKpa = Math.max(
    ...own.map(({ fill }) => (fill.gaugeMovedKpa === null ? (fill.settled?.driftKpa ?? 0) : 0)),
  );
  if (driftKpa > 0) {
    const says = `all specimens moved by ${shown(driftKpa)} kPa while it stood`;
    all.push(rectangular("pot not quite still", says, driftKpa / 2 / SQRT3));
  }
  const sinceReadKpa = max(
    own.map(({ fill }) => (fill.gaugeMovedKpa === null ? (fill.settled?.sinceReadKpa ?? 0) : 0)),
  );
  if (sinceReadKpa > 0) {
    const says = `when it was read the pot was ${shown(sinceReadKpa)} kPa from where it then stood`;
    all.push(rectangular("gauge read too early or late", says, sinceReadKpa / SQRT3));
  }
  if (own.some(({ said }) => said.absolute)) {
    all.push({
      of: "air outside",
      says: `taken off an absolute reading, ${AIR_FROM[air.from]}: ± ${shown(air.expandedKpa)} kPa`,
      evaluation: "B",
      distribution: "normal",
      standard: air.expandedKpa / 2,
      freedom: Number.POSITIVE_INFINITY,
    });
  }
  return combine(all);
}

const AIR_FROM = {
  barometer: "by a barometer",
  altitude: "by the altitude",
  "sea level": "standard air at sea level assumed",
};

/** Half width of the 95 % interval of the line at a pressure, the gauge's own error in it: it errs alike at all set points. */
export function expandedOnLine(line: CalibrationLine, gauge: Gauge, gaugeKpa: number): number {
  return Math.hypot(line.at(gaugeKpa).expanded, combine(gaugeParts(gauge) ?? []).expanded);
}

/** The gauge's own parts; `null`: nobody said how good it is. */
export function gaugeParts(gauge: Gauge): readonly BudgetPart[] | null {
  const { errorKpa, stated, coverage, resolutionKpa } = gauge;
  if (errorKpa === null) return null;
  const first: BudgetPart =
    stated === "certificate"
      ? {
          of: "gauge",
          says: `its certificate: U = ${shown(errorKpa)} kPa, k = ${coverage}`,
          evaluation: "B",
          distribution: "normal",
          standard: errorKpa / coverage,
          freedom: Number.POSITIVE_INFINITY,
        }
      : rectangular("gauge", `its limit of error: ± ${shown(errorKpa)} kPa`, errorKpa / SQRT3);
  if (resolutionKpa === null || resolutionKpa === 0) return [first];
  return [
    first,
    rectangular("reading the gauge", `it shows steps of ${shown(resolutionKpa)} kPa`, resolutionKpa / SQRT12),
  ];
}

function shown(kpa: number): string {
  return String(Number(kpa.toPrecision(2)));
}

/** How far a specimen may be off at a gauge value, either side; `null`: nobody asked. */
export function pressureLimit(
  limits: Pick<Lot["limits"], "pressureKpa" | "pressurePercent">,
  gaugeKpa: number,
): number | null {
  // A gauge in open air may show a little below nothing.
  const ofValue = limits.pressurePercent === null ? null : nano((limits.pressurePercent / 100) * Math.abs(gaugeKpa));
  if (limits.pressureKpa !== null) return Math.max(limits.pressureKpa, ofValue ?? 0);
  return ofValue === 0 ? null : ofValue;
}
