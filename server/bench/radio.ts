import { mean } from "simple-statistics";
import { fitLine } from "../../decoders/statistics/fitLine.ts";
import { studentT95 } from "../../decoders/statistics/studentT.ts";
import { grouped } from "./grouped.ts";
import { levelScale } from "./levelReference.ts";
import type { Fixture, Lot } from "./lot.ts";
import type { Paired } from "./pressure.ts";
import type { Registered } from "./register.ts";
import type { Said } from "./said.ts";
import { heardOnSource, sourcesOf } from "./sources.ts";
import { type Budget, type BudgetPart, bound, combine, repeats } from "./statistics/budget.ts";
import { ofTheFarthest, pooled } from "./statistics/scatter.ts";

/** A mean with its uncertainty. */
export interface Measured {
  readonly value: number;
  readonly count: number;
  readonly budget: Budget;
}

/** What a specimen's transmissions are like. */
export interface RadioFigures {
  /** Mean carrier. */
  readonly carrierHz: number | null;
  /** Its mean in the fill where it lies farthest from the nominal carrier, less that; before any fill of all telegrams. */
  readonly farthestCarrier: Measured | null;
  /** By how much the carrier went from the first to the last telegram, on a straight line. */
  readonly walk: { readonly hz: number; readonly expandedHz: number } | null;
  readonly deviation: Measured | null;
  readonly symbolRate: Measured | null;
  readonly level: Measured | null;
  readonly levelIs: Said["levelIs"];
  /** The longest from a wake to the first telegram. */
  readonly wake: Measured | null;
  readonly perWake: PerWake | null;
  readonly batteryLow: boolean | null;
}

/** The fewest and most telegrams that came of a wake. */
export interface PerWake {
  readonly least: number;
  readonly most: number;
  /** The fewest of those wakes that had their time; `null`: the next wake cut every one short. */
  readonly leastWhole: number | null;
  /** Whether a next wake came while more of one could well have been on their way. */
  readonly mayGoOn: boolean;
}

/**
 * What the receiver itself adds, relative to the figure, as bounds.
 *
 * @source Measured on the samples: deviations within 0.3 %, rates within 0.01 % of the truth.
 */
const DEVIATION_SHARE = 0.005;
const RATE_SHARE = 0.0002;
/** @source Common practice, no source: the same part laid down again in the same pot. */
const PLACING_DB = 2;
/** Of a mark by hand, and of one by a receiver. @source Common practice, no source. */
const BY_HAND_S = 0.5;
const BY_RECEIVER_S = 0.02;

/** @param nominalHz What the carrier is held against; `null`: the mean of all. */
export function radioFigures(
  said: readonly Said[],
  paired: readonly Paired[],
  { answered }: Pick<Registered, "answered">,
  fixture: Pick<Fixture, "carrierErrorPpm">,
  nominalHz: number | null,
): RadioFigures {
  const of = (pick: (one: Said) => number | null) => said.flatMap((one) => pick(one) ?? []);
  // In dBFS and over the noise they are two scales: those from samples go before.
  const levelIs = levelScale(said);
  const onScale = said.filter((one) => one.levelIs === levelIs && one.levelDb !== null);
  const levels = oneGain(onScale).flatMap(({ levelDb }) => levelDb ?? []);
  // Two receivers' references differ, which would pass for a walk.
  const source = sourcesOf(said)[0];
  const carried = heardOnSource(said, source);
  const pairedThere = paired.flatMap((one) =>
    heardOnSource([one.said], source).map((there) => ({ ...one, said: there })),
  );
  const battery = said.flatMap((one) => (one.battery === null ? [] : [one.battery === "low"]));
  return {
    carrierHz: carried.length === 0 ? null : mean(carried.map(({ carrierHz }) => carrierHz)),
    farthestCarrier: farthest(carried, pairedThere, fixture.carrierErrorPpm, nominalHz),
    walk: walkOf(carried),
    deviation: measured(
      of(({ deviationHz }) => deviationHz),
      (value) => bound("measuring it", value * DEVIATION_SHARE),
    ),
    symbolRate: measured(
      of(({ symbolRate }) => symbolRate),
      (value) => bound("measuring it", value * RATE_SHARE),
    ),
    level: measured(levels, () => bound("laying it down", PLACING_DB)),
    levelIs,
    wake: wakeOf(answered),
    perWake: perWakeOf(answered),
    batteryLow: battery.length === 0 ? null : battery.some((low) => low),
  };
}

/** Those of the source that told most of the levels: another has another gain. */
function oneGain(said: readonly Said[]): readonly Said[] {
  const most = [...grouped(said, ({ source }) => source).values()].toSorted((a, b) => b.length - a.length)[0];
  return most ?? [];
}

/** By fills, so that a carrier that walks does not pass for one that scatters. */
function farthest(
  said: readonly Said[],
  paired: readonly Paired[],
  errorPpm: number | null,
  nominalHz: number | null,
): Measured | null {
  if (said.length === 0) return null;
  const nominal = nominalHz ?? mean(said.map(({ carrierHz }) => carrierHz));
  const inFills = [...grouped(paired, ({ fill }) => fill)].map(([, own]) => own.map((one) => one.said.carrierHz));
  const still = inFills.length > 0 ? inFills : [said.map(({ carrierHz }) => carrierHz)];
  const all = still.map((carriers) => ({ carriers, value: mean(carriers) }));
  const far = all.reduce((most, one) => (Math.abs(one.value - nominal) > Math.abs(most.value - nominal) ? one : most));
  const scatter = pooled(still);
  const parts: BudgetPart[] = [bound("the receiver's reference", nominal * (errorPpm ?? 0) * 1e-6)];
  if (scatter) {
    // The farthest of several means is farther off by chance than any one of them.
    parts.push(repeats(ofTheFarthest(scatter, still.length), far.carriers.length));
  }
  return { value: far.value - nominal, count: far.carriers.length, budget: combine(parts) };
}

/** The line's change over the time, with its 95 % interval. */
function walkOf(said: readonly Said[]): RadioFigures["walk"] {
  const [first, last] = [said[0], said.at(-1)];
  if (!first || !last || said.length < 3 || last.atMs === first.atMs) return null;
  const seconds = (last.atMs - first.atMs) / 1000;
  const line = fitLine(said.map(({ atMs, carrierHz }) => ({ x: (atMs - first.atMs) / 1000, y: carrierHz })));
  const u = line.residual === null ? 0 : line.residual / Math.sqrt(line.sxx);
  return { hz: line.slope * seconds, expandedHz: studentT95(line.count - 2) * u * seconds };
}

function measured(values: readonly number[], bounds: (value: number) => BudgetPart): Measured | null {
  if (values.length === 0) return null;
  const value = mean([...values]);
  const parts = [bounds(value)];
  const scatter = pooled([values]);
  if (scatter) parts.push(repeats(scatter, values.length));
  return { value, count: values.length, budget: combine(parts) };
}

function wakeOf(answered: Registered["answered"]): Measured | null {
  const seconds = answered.flatMap(({ wake, atMs }) => {
    const first = Math.min(...atMs);
    // What came before a late tap tells nothing of how long it took.
    return Number.isFinite(first) && first >= wake.atMs ? [{ seconds: (first - wake.atMs) / 1000, by: wake.by }] : [];
  });
  if (seconds.length === 0) return null;
  const longest = seconds.reduce((most, one) => (one.seconds > most.seconds ? one : most));
  const edge = longest.by === "button" ? BY_HAND_S : BY_RECEIVER_S;
  return { value: longest.seconds, count: seconds.length, budget: combine([bound("the wake mark", edge)]) };
}

function perWakeOf(answered: Registered["answered"]): PerWake | null {
  if (answered.length === 0) return null;
  const counts = answered.map(({ atMs, cutMs }) => ({ ...trainOf(atMs), cutMs }));
  const all = counts.map(({ count }) => count);
  const whole = counts.flatMap(({ count, cutMs }) => (cutMs === null ? [count] : []));
  return {
    least: Math.min(...all),
    most: Math.max(...all),
    leastWhole: whole.length === 0 ? null : Math.min(...whole),
    mayGoOn: counts.some(({ cutMs, goesOnToMs }) => cutMs !== null && cutMs <= goesOnToMs),
  };
}

/** What comes so many times later than the gaps of a train before it was sent by itself, and so does what is later still. */
const GAPS_APART = 5;
const LEAST_APART_MS = 1000;
const MOST_APART_MS = 5000;

/** How many telegrams from the first on follow each other closely, and how long the next might take. */
function trainOf(atMs: readonly number[]): { readonly count: number; readonly goesOnToMs: number } {
  const times = atMs.toSorted((a, b) => a - b);
  let widest = 0;
  let count = 0;
  let goesOnToMs = Number.POSITIVE_INFINITY;
  for (const at of times) {
    if (at > goesOnToMs) break;
    const before = times[count - 1];
    if (before !== undefined) widest = Math.max(widest, at - before);
    // One telegram alone tells nothing of the gap to a second.
    const apartMs = count === 0 ? MOST_APART_MS : Math.max(LEAST_APART_MS, GAPS_APART * widest);
    goesOnToMs = at + Math.min(MOST_APART_MS, apartMs);
    count++;
  }
  return { count, goesOnToMs };
}

/** Half width of what the carrier may be off, in Hz; `null`: nobody asked. */
export function carrierLimitHz({ carrierHz, carrierOff, carrierUnit }: Lot["limits"]): number | null {
  if (carrierOff === null || carrierHz === null) return null;
  return carrierUnit === "Hz" ? carrierOff : carrierOff * 1e-6 * carrierHz;
}
