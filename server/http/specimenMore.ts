import { besideGolden } from "../bench/beside.ts";
import { fieldStrength } from "../bench/fieldStrength.ts";
import type { Lot } from "../bench/lot.ts";
import { type Cell, expandedOnLine, type PressureFigures } from "../bench/pressure.ts";
import { silentSpecimen } from "../bench/silent.ts";
import { curvature } from "../bench/statistics/curvature.ts";
import { temperatureEffect } from "../bench/temperatureEffect.ts";
import type { WorkedLot, WorkedSpecimen } from "../bench/workOut.ts";
import type { House } from "./house.ts";
import { interfererShares, listenedHz } from "./listened.ts";
import { type LotVisit, lotOf, otherLot, rowOf, timeOf } from "./lotBody.ts";
import { telegramDrift } from "./telegramDrift.ts";
import { SpecimenMoreBody } from "./wire/lots.ts";

/** Points along the calibration line. */
const BAND_POINTS = 21;
/** Telegrams of one specimen that are told, the newest. */
const MOST_TELEGRAMS = 2000;

/** All that is known of one specimen; `undefined`: the lot has no such number. */
export async function specimenMore(
  house: House,
  visit: LotVisit,
  number: number,
): Promise<SpecimenMoreBody | undefined> {
  const { lot, worked } = visit;
  const specimen = worked.specimens.find(({ registered }) => registered.number === number);
  if (!specimen) return undefined;
  const { said, paired, pressure, radio } = specimen;
  const levelDbfs = radio.levelIs === "dBFS" ? (radio.level?.value ?? null) : null;
  return SpecimenMoreBody.parse({
    specimen: rowOf(specimen),
    ...readingsOf(lot, specimen),
    line: lineBody(lot, pressure),
    temperature: temperatureEffect(paired),
    walk: walkBody(radio.walk),
    drift: await telegramDrift(house, said),
    fieldStrength: fieldStrength(levelDbfs, radio.carrierHz, lot.fixture),
    silence: (await silenceOf(house, visit, specimen)) ?? null,
    golden: await goldenBody(house, visit, specimen),
  });
}

/** What a specimen said, telegram by telegram, and what its uncertainties are made of. */
export function readingsOf(
  lot: Lot,
  { said, paired, pressure }: WorkedSpecimen,
): Pick<SpecimenMoreBody, "budgets" | "telegrams"> {
  const fillOf = new Map(paired.map((one) => [one.said.id, one.fill.id]));
  return {
    budgets: pressure.cells.flatMap((cell) => budgetBody(lot, cell)),
    telegrams: said.slice(-MOST_TELEGRAMS).map((one) => ({
      at: timeOf(one.atMs),
      kpa: one.kpa,
      temperatureC: one.temperatureC,
      carrierHz: one.carrierHz,
      fill: fillOf.get(one.id) ?? null,
      recording: one.recording,
    })),
  };
}

function budgetBody({ setPoints }: Lot, { setPoint, budget }: Cell): SpecimenMoreBody["budgets"] {
  if (!budget) return [];
  const { parts, standard, freedom, coverage, expanded, confidence } = budget;
  return [
    {
      setPoint,
      of: setPointWords(setPoints[setPoint]!),
      unit: "kPa",
      parts: parts.map((part) => ({ ...part, freedom: finite(part.freedom) })),
      standard,
      freedom: finite(freedom),
      coverage,
      expanded,
      confidence,
    },
  ];
}

/** Of the error that is least sure, with whose it is; `undefined`: there is none. */
export function widestBudget(
  lot: Lot,
  { specimens }: WorkedLot,
): { readonly number: number; readonly budget: SpecimenMoreBody["budgets"][number] } | undefined {
  const all = specimens.flatMap(({ registered, pressure }) =>
    pressure.cells.flatMap((cell) => budgetBody(lot, cell).map((budget) => ({ number: registered.number, budget }))),
  );
  return all.length === 0 ? undefined : all.reduce((a, b) => (b.budget.expanded > a.budget.expanded ? b : a));
}

function setPointWords({ kpa, way }: Lot["setPoints"][number]): string {
  return `${kpa} kPa, ${way}`;
}

function finite(freedom: number): number | null {
  return Number.isFinite(freedom) ? freedom : null;
}

function lineBody({ setPoints, gauge }: Lot, { points, line, pivotKpa }: PressureFigures): SpecimenMoreBody["line"] {
  if (!line) return null;
  const places = points.map(({ gaugeKpa }) => gaugeKpa);
  const [from, to] = [Math.min(...places), Math.max(...places)];
  return {
    interceptKpa: line.intercept,
    slope: line.slope,
    pivotKpa,
    uInterceptKpa: line.uIntercept,
    uSlope: line.uSlope,
    residualKpa: line.residual,
    freedom: line.freedom,
    points: points.map(({ setPoint, gaugeKpa, errorKpa }, i) => ({
      gaugeKpa,
      errorKpa,
      residualKpa: line.residuals[i]!,
      way: setPoints[setPoint]!.way,
    })),
    band: Array.from({ length: BAND_POINTS }, (_, i) => {
      const gaugeKpa = from + ((to - from) * i) / (BAND_POINTS - 1);
      const { value } = line.at(gaugeKpa);
      const half = expandedOnLine(line, gauge, gaugeKpa);
      return { gaugeKpa, kpa: value, fromKpa: value - half, toKpa: value + half };
    }),
    curved: curvedBody(points),
  };
}

const LEAST_FOR_CURVE = 5;
const ALPHA = 0.05;

function curvedBody(told: readonly { readonly gaugeKpa: number; readonly errorKpa: number }[]) {
  if (told.length < LEAST_FOR_CURVE) return null;
  const { p } = curvature(told.map(({ gaugeKpa, errorKpa }) => ({ x: gaugeKpa, y: errorKpa })));
  const figure = `p = ${p < 0.001 ? "below 0.001" : p.toFixed(3)}`;
  const says =
    p < ALPHA
      ? `The errors bend: a curve fits clearly better than a straight line (F test, ${figure}).`
      : `A straight line is enough: a curve does not fit clearly better (F test, ${figure}).`;
  return { p, says };
}

function walkBody(walk: WorkedSpecimen["radio"]["walk"]): SpecimenMoreBody["walk"] {
  if (!walk) return { hz: null, expandedHz: null, says: "Too few telegrams." };
  const { hz, expandedHz } = walk;
  const figure = `${Math.round(hz)} ± ${Math.round(expandedHz)} Hz`.replace("-", "−");
  const says =
    Math.abs(hz) > expandedHz ? `It went ${figure} from the first telegram to the last.` : `It stayed: ${figure}.`;
  return { hz, expandedHz, says };
}

async function silenceOf(house: House, { lot, heard, worked }: LotVisit, specimen: WorkedSpecimen) {
  const recordings = (await house.store.recordings()).filter(({ hash }) => lot.recordingHashes.includes(hash));
  const bursts = heard.bursts.map(({ burst }) => burst);
  return silentSpecimen(lot, worked, specimen, {
    bursts,
    listenedHz: await listenedHz(house, lot.receiverIds, recordings, bursts),
    interfererShares: interfererShares(recordings),
  });
}

async function goldenBody(
  house: House,
  { stored, lot, worked }: LotVisit,
  specimen: WorkedSpecimen,
): Promise<SpecimenMoreBody["golden"]> {
  const { golden } = lot;
  if (golden === null) return null;
  const there = await lotOfGolden(house, { stored, lot, worked }, golden.lot);
  const known = there?.worked.specimens[golden.number - 1];
  if (!there || !known) return null;
  const here = burstOf(specimen);
  const good = burstOf(known);
  return {
    lot: golden.lot,
    number: golden.number,
    identity: known.registered.body?.identity ?? null,
    beside: [
      ...besideGolden({ lotId: stored.id, lot, specimen }, { lotId: golden.lot, lot: there.lot, specimen: known }),
    ],
    bursts: here && good ? { here, golden: good } : null,
  };
}

async function lotOfGolden(
  house: House,
  own: Pick<LotVisit, "stored" | "lot" | "worked">,
  goldenLot: string,
): Promise<Pick<LotVisit, "lot" | "worked"> | undefined> {
  if (goldenLot === own.stored.id) return own;
  const other = await house.store.lot(goldenLot);
  return other && { lot: lotOf(other), worked: await otherLot(house, other) };
}

/** One whose samples are kept, the newest. */
function burstOf({ said }: WorkedSpecimen): { hash: string; index: number } | undefined {
  return said.findLast(({ recording }) => recording !== null)?.recording ?? undefined;
}
