import { mean, median } from "simple-statistics";
import type { AmbientAir } from "../jobs/pressure/ambientAir.ts";
import type { PotFill } from "./fills.ts";
import { grouped } from "./grouped.ts";
import type { Gauge, Lot, SetPoint } from "./lot.ts";
import type { Said } from "./said.ts";
import { type Budget, type BudgetPart, combine } from "./statistics/budget.ts";
import { type CalibrationLine, calibrationLine } from "./statistics/calibrationLine.ts";

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
  /** Standard deviation of a reading about the others of its fill, with its degrees of freedom; `null` without any. */
  readonly repeatability: { readonly kpa: number; readonly freedom: number } | null;
  /** Largest distance of a set point's error from the straight line through all of them. */
  readonly linearityKpa: number | null;
  /** Largest change of the error between up and down at one set point. */
  readonly hysteresisKpa: number | null;
  readonly meanErrorKpa: number | null;
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
  lot: Pick<Lot, "setPoints" | "gauge">,
  paired: readonly Paired[],
  air: AmbientAir,
): PressureFigures {
  const { setPoints, gauge } = lot;
  const repeatability = repeatabilityOf(paired);
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
  const told = cells.flatMap(({ gaugeKpa, errorKpa, setPoint }) =>
    gaugeKpa === null || errorKpa === null ? [] : [{ x: gaugeKpa, y: errorKpa, setPoint }],
  );
  const pivotKpa = told.length === 0 ? 0 : mean(told.map(({ x }) => x));
  const line = hasThreePlaces(told) ? calibrationLine(told, pivotKpa) : null;
  return {
    cells,
    repeatability,
    linearityKpa: line && Math.max(...line.residuals.map(Math.abs)),
    hysteresisKpa: hysteresisOf(setPoints, cells),
    meanErrorKpa: told.length === 0 ? null : mean(told.map(({ y }) => y)),
    line,
    pivotKpa,
  };
}

/** So that 128.3 less 123.3 is 5, which a limit of 5 still allows. */
function nano(kpa: number): number {
  return Number(kpa.toFixed(9));
}

/** A line through three set points of which two are one place up and down would have nothing to bend by. */
function hasThreePlaces(told: readonly { readonly x: number }[]): boolean {
  const sorted = told.map(({ x }) => x).toSorted((a, b) => a - b);
  const places = sorted.filter((x, i) => i === 0 || x - sorted[i - 1]! > 5);
  return places.length >= 3;
}

function repeatabilityOf(paired: readonly Paired[]): PressureFigures["repeatability"] {
  let squares = 0;
  let freedom = 0;
  for (const [, own] of grouped(paired, ({ fill }) => fill)) {
    if (own.length < 2) continue;
    const errors = own.map(({ kpa, gaugeKpa }) => kpa - gaugeKpa);
    const middle = mean(errors);
    squares += errors.reduce((sum, error) => sum + (error - middle) ** 2, 0);
    freedom += own.length - 1;
  }
  return freedom === 0 ? null : { kpa: Math.sqrt(squares / freedom), freedom };
}

function hysteresisOf(setPoints: readonly SetPoint[], cells: readonly Cell[]): number | null {
  const changes = setPoints.flatMap(({ kpa, way }, i) => {
    if (way !== "up") return [];
    const down = setPoints.findIndex((other) => other.way === "down" && other.kpa === kpa);
    const [a, b] = [cells[i]?.errorKpa, cells[down]?.errorKpa];
    return a == null || b == null ? [] : [b - a];
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
function budgetOf(
  gauge: Gauge,
  own: readonly Paired[],
  repeatability: PressureFigures["repeatability"],
  air: AmbientAir,
): Budget | null {
  const parts = gaugeParts(gauge);
  if (parts === null) return null;
  const count = own.length;
  const all: BudgetPart[] = [...parts];
  if (repeatability) {
    all.push({
      of: "repeats",
      says: `a reading scatters by ${shown(repeatability.kpa)} kPa; the mean of ${count}`,
      evaluation: "A",
      distribution: "student",
      standard: repeatability.kpa / Math.sqrt(count),
      freedom: repeatability.freedom,
    });
  }
  const step = median(own.map(({ said }) => said.stepKpa ?? 0));
  const left = Math.sqrt(Math.max(0, (step / SQRT12) ** 2 - (repeatability?.kpa ?? 0) ** 2));
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

function rectangular(of: string, says: string, standard: number): BudgetPart {
  return { of, says, evaluation: "B", distribution: "rectangular", standard, freedom: Number.POSITIVE_INFINITY };
}

function shown(kpa: number): string {
  return String(Number(kpa.toPrecision(2)));
}

/** How far a specimen may be off at a gauge value, either side; `null`: nobody asked. */
export function pressureLimit(
  limits: Pick<Lot["limits"], "pressureKpa" | "pressurePercent">,
  gaugeKpa: number,
): number | null {
  const ofValue = limits.pressurePercent === null ? null : nano((limits.pressurePercent / 100) * gaugeKpa);
  if (limits.pressureKpa === null) return ofValue;
  return Math.max(limits.pressureKpa, ofValue ?? 0);
}
