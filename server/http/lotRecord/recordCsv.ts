import { type CsvCell, type CsvDialect, csvText } from "../../report/csv.ts";
import type { LotBody, SpecimenBody } from "../wire/lots.ts";
import { errorLimits } from "./errorLimits.ts";
import { verdictOf } from "./verdicts.ts";

/**
 * A row for each specimen at each set point, also where there is no reading; of a lot without set points, one for each
 * specimen. Figures are not rounded, units stand in the names of the columns, times are RFC 3339 in UTC.
 */
export function lotCsv(lot: LotBody, dialect: CsvDialect): string {
  const points: readonly (number | undefined)[] = lot.setPoints.length === 0 ? [undefined] : [...lot.setPoints.keys()];
  const rows = lot.rows.flatMap((specimen) =>
    points.map((point) => COLUMNS.map(([, cell]) => cell(lot, specimen, point))),
  );
  return csvText([COLUMNS.map(([name]) => name), ...rows], dialect);
}

/** @param point Index of the set point; `undefined`: there is none. */
type CellOf = (lot: LotBody, specimen: SpecimenBody, point: number | undefined) => CsvCell;

const COLUMNS: readonly (readonly [string, CellOf])[] = [
  ["lot", ({ id }) => id],
  ["supplier", ({ supplier }) => supplier],
  ["part", ({ part }) => part],
  ["specimen", (_, { number }) => number],
  ["sensorId", (_, { identity }) => identity],
  ["body", (_, { body }) => body],
  ["label", (_, { label }) => label],
  ["state", (_, { state }) => state],
  ["setPoint", (_lot, _specimen, point) => (point === undefined ? null : point + 1)],
  ["setPointKpa", ({ setPoints }, _, point) => pointOf(setPoints, point)?.kpa ?? null],
  ["way", ({ setPoints }, _, point) => pointOf(setPoints, point)?.way ?? null],
  ["gaugeKpa", gaugeKpa],
  ["potTemperatureC", (lot, _, point) => onlyFill(lot, point)?.temperatureC ?? null],
  ["filledAt", (lot, _, point) => onlyFill(lot, point)?.at ?? null],
  ["settledFrom", (lot, _, point) => onlyFill(lot, point)?.settledFrom ?? null],
  ["settledTo", (lot, _, point) => onlyFill(lot, point)?.settledTo ?? null],
  ["readings", (_, specimen, point) => cellOf(specimen, point)?.readings ?? null],
  ["meanKpa", (_, specimen, point) => cellOf(specimen, point)?.meanKpa ?? null],
  ["errorKpa", (_, specimen, point) => cellOf(specimen, point)?.errorKpa ?? null],
  ["expandedKpa", (_, specimen, point) => cellOf(specimen, point)?.expandedKpa ?? null],
  ["leastErrorKpa", (lot, specimen, point) => limitsOf(lot, specimen, point)?.lowerKpa ?? null],
  ["mostErrorKpa", (lot, specimen, point) => limitsOf(lot, specimen, point)?.upperKpa ?? null],
  ["setPointVerdict", (_, specimen, point) => cellOf(specimen, point)?.verdict ?? null],
  ["carrierOffsetHz", (_, { carrierOffsetHz }) => carrierOffsetHz],
  ["deviationHz", (_, { deviationHz }) => deviationHz],
  ["symbolRate", (_, { symbolRate }) => symbolRate],
  ["levelDb", (_, { levelDb }) => levelDb],
  ["batteryVerdict", (_, { figures }) => figures.find(({ key }) => key === "battery")?.verdict ?? null],
  ["wakeSeconds", (_, { wakeSeconds }) => wakeSeconds],
  ["telegrams", (_, { telegrams }) => telegrams],
  ["lastAt", (_, { lastAt }) => lastAt],
  ["verdict", (_, specimen) => verdictOf(specimen)],
  ["because", (_, { because, leftOut }) => (leftOut.trim() === "" ? because : leftOut)],
  ["note", (_, { note }) => note],
];

function pointOf(setPoints: LotBody["setPoints"], point: number | undefined) {
  return point === undefined ? undefined : setPoints[point];
}

function cellOf({ cells }: SpecimenBody, point: number | undefined) {
  return cells.find(({ setPoint }) => setPoint === point);
}

function limitsOf(lot: LotBody, specimen: SpecimenBody, point: number | undefined) {
  return point === undefined ? undefined : errorLimits(lot, specimen, point);
}

/** `undefined` where a set point was filled more than once: neither of them stands for it. */
function onlyFill({ workedFills }: LotBody, point: number | undefined) {
  const those = workedFills.filter(({ setPoint }) => setPoint === point);
  return those.length === 1 ? those[0] : undefined;
}

/** What the gauge showed; of several fills, what the specimen's error was taken from. */
function gaugeKpa(lot: LotBody, specimen: SpecimenBody, point: number | undefined): number | null {
  const fill = onlyFill(lot, point);
  if (fill) return fill.gaugeKpa;
  const cell = cellOf(specimen, point);
  if (!cell || cell.meanKpa === null || cell.errorKpa === null) return null;
  return Number((cell.meanKpa - cell.errorKpa).toFixed(9));
}
