import type { FigureBody, LotBody, SpecimenBody } from "../wire/lots.ts";
import { type Block, type Column, paragraph, type Section, type Table } from "./document.ts";
import { errorLimits } from "./errorLimits.ts";
import { setPointName } from "./fills.ts";
import { decimalsThatAgree, ended, type HeldAgainst, shown } from "./shown.ts";
import { MARKS, verdictOf } from "./verdicts.ts";

/** Every specimen against every set point, with what else was held against a limit. */
export function specimensSection(lot: LotBody): Section {
  const { rows, setPoints } = lot;
  const heading = "Specimens";
  if (rows.length === 0) {
    return { heading, across: true, whole: false, blocks: [paragraph("There is none on this lot yet.")] };
  }
  const all = setPoints.map((_, i) => i);
  const first = all.slice(0, FIRST_SET_POINTS);
  const least = leastDecimals(rows);
  const tables = [
    firstTable(lot, first, least),
    ...chunks(all.slice(FIRST_SET_POINTS), MORE_SET_POINTS).map((those) => moreTable(lot, those, least)),
  ];
  const [labels, notes] = [remarksOf(rows, "label"), remarksOf(rows, "note")];
  const blocks: readonly Block[] = [
    paragraph(explained(lot, tables.length)),
    ...tables,
    ...(labels === "" ? [] : [paragraph(`${labels}.`, "Labels on the parts:")]),
    ...(notes === "" ? [] : [paragraph(ended(notes), "Notes:")]),
  ];
  return { heading, across: true, whole: false, blocks };
}

/** Set points that the table with all else has room for, and one with nothing else. */
const FIRST_SET_POINTS = 5;
const MORE_SET_POINTS = 7;
/** Rows that no page holds. */
const LONG = 45;

function explained({ rows, leastReadings }: LotBody, tables: number): string {
  const confidence = "Error: mean reading less gauge, with its expanded uncertainty at 95\u202f%, in kPa.";
  return [
    confidence,
    `${MARKS.outside}outside its limit, ${MARKS["cannot tell"]}cannot tell, without a mark within; "1 of ${leastReadings}": too few readings for a figure; "none": no reading.`,
    ...(rows.length > LONG
      ? [`All ${rows.length} specimens: the table goes on over more than one page, its head comes again.`]
      : []),
    ...(tables > 1
      ? [`The set points from the ${FIRST_SET_POINTS + 1}th on stand in a table of their own below.`]
      : []),
  ].join(" ");
}

function firstTable(lot: LotBody, setPoints: readonly number[], least: number): Table {
  const columns: readonly Column[] = [
    { name: "No.", holds: "figures", share: 30 },
    { name: "Sensor ID", holds: "identities", share: 86 },
    ...setPoints.map((i) => setPointColumn(lot, i)),
    { name: "Carrier off, kHz", holds: "figures", share: 54 },
    { name: "Level, dB", holds: "figures", share: 40 },
    { name: "Battery", holds: "words", share: 54 },
    { name: "Verdict", holds: "words", share: 83 },
  ];
  return {
    kind: "table",
    columns,
    rows: lot.rows.map((specimen) => [
      String(specimen.number),
      identityOf(specimen),
      ...setPoints.map((i) => cellInWords(lot, specimen, i, least)),
      carrierOf(lot, specimen),
      levelOf(specimen),
      batteryOf(specimen),
      `${MARKS[verdictOf(specimen)]}${verdictOf(specimen)}`,
    ]),
  };
}

function moreTable(lot: LotBody, setPoints: readonly number[], least: number): Table {
  return {
    kind: "table",
    columns: [
      { name: "No.", holds: "figures", share: 34 },
      { name: "Sensor ID", holds: "identities", share: 80 },
      ...setPoints.map((i) => setPointColumn(lot, i)),
    ],
    rows: lot.rows.map((specimen) => [
      String(specimen.number),
      identityOf(specimen),
      ...setPoints.map((i) => cellInWords(lot, specimen, i, least)),
    ]),
  };
}

function setPointColumn({ setPoints }: LotBody, i: number): Column {
  const point = setPoints[i];
  return { name: point ? setPointName(point) : "", holds: "figures", share: 78 };
}

function identityOf({ identity, body, state }: SpecimenBody): string {
  if (identity === null) return state;
  return body === "" ? identity : `${identity} ${body}`;
}

/** What stands on the parts, and what was noted of them; a column of it would be wider than the table. */
function remarksOf(rows: readonly SpecimenBody[], of: "label" | "note"): string {
  return rows
    .filter((row) => row[of].trim() !== "")
    .map((row) => `${row.number}: ${row[of].trim()}`)
    .join("; ");
}

/** As many as the finest uncertainty of the table needs for its two first digits, so that the column lines up. */
function leastDecimals(rows: readonly SpecimenBody[]): number {
  const expanded = rows.flatMap(({ cells }) => cells.flatMap(({ expandedKpa }) => (expandedKpa ? [expandedKpa] : [])));
  const finest = Math.min(...expanded);
  return finest < 0.1 ? 2 : 1;
}

/**
 * The error of a specimen at a set point and its mark, such as `−1.2 ± 0.9`. Where its verdict hangs on more digits, it
 * has more.
 */
export function cellInWords(lot: LotBody, specimen: SpecimenBody, setPoint: number, least: number): string {
  const cell = specimen.cells.find((one) => one.setPoint === setPoint);
  if (!cell || cell.errorKpa === null) return notMeasured(cell, lot.leastReadings);
  const limits = errorLimits(lot, specimen, setPoint);
  const bounds = limits ? [limits.lowerKpa, limits.upperKpa] : [];
  const decimals = decimalsThatAgree(cell.errorKpa, cell.expandedKpa, { bounds, multiples: multiplesOf(lot) }, least);
  const mark = cell.verdict === null ? "" : MARKS[cell.verdict].trim();
  const error = shown(cell.errorKpa, decimals);
  const figure = cell.expandedKpa === null ? error : `${error} ±\u202f${shown(cell.expandedKpa, decimals)}`;
  return mark === "" ? figure : `${mark}\u202f${figure}`;
}

function notMeasured(cell: SpecimenBody["cells"][number] | undefined, leastReadings: number): string {
  return cell && cell.readings > 0 ? `${cell.readings} of ${leastReadings}` : "none";
}

/** What the rule adds to a figure before it is held against its limits. */
function multiplesOf({ rule }: LotBody): HeldAgainst["multiples"] {
  return rule.kind === "guard" ? [0, rule.multiple, -rule.multiple] : [0];
}

function carrierOf(lot: LotBody, specimen: SpecimenBody): string {
  const { carrierOff, carrierUnit, carrierHz } = lot.limits;
  const eitherHz =
    carrierOff === null ? null : carrierUnit === "Hz" ? carrierOff : (carrierOff * (carrierHz ?? 0)) / 1e6;
  const bounds = eitherHz === null ? [] : [-eitherHz / 1000, eitherHz / 1000];
  const offKhz = specimen.carrierOffsetHz === null ? null : specimen.carrierOffsetHz / 1000;
  return heldFigure(offKhz, bounds, figureOf(specimen, "carrier"), 1);
}

function levelOf(specimen: SpecimenBody): string {
  const figure = figureOf(specimen, "level");
  return heldFigure(specimen.levelDb, levelBounds(specimen.levelDb, figure), figure, 0);
}

/** Whether the held figure is the level or what it is off: its limits are as far from it. */
function levelBounds(levelDb: number | null, figure: FigureBody | undefined): readonly number[] {
  if (!figure || figure.value === null || levelDb === null) return [];
  const off = levelDb - figure.value;
  return [figure.lower, figure.upper].flatMap((limit) => (limit === null ? [] : [limit + off]));
}

function heldFigure(
  value: number | null,
  bounds: readonly number[],
  figure: FigureBody | undefined,
  least: number,
): string {
  if (value === null) return "–";
  const mark = figure ? MARKS[figure.verdict].trim() : "";
  const text = shown(value, decimalsThatAgree(value, null, { bounds, multiples: [0] }, least));
  return mark === "" ? text : `${mark}\u202f${text}`;
}

function batteryOf(specimen: SpecimenBody): string {
  const figure = figureOf(specimen, "battery");
  if (!figure) return "–";
  return `${MARKS[figure.verdict]}${BATTERY_WORDS[figure.verdict]}`;
}

const BATTERY_WORDS: Readonly<Record<FigureBody["verdict"], string>> = {
  within: "good",
  outside: "not good",
  "cannot tell": "not told",
};

function figureOf({ figures }: SpecimenBody, key: FigureBody["key"]): FigureBody | undefined {
  return figures.find((figure) => figure.key === key);
}

function chunks(of: readonly number[], size: number): readonly (readonly number[])[] {
  return Array.from({ length: Math.ceil(of.length / size) }, (_, i) => of.slice(i * size, (i + 1) * size));
}
