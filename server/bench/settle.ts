import { median } from "simple-statistics";
import { fitLine } from "../../decoders/statistics/fitLine.ts";
import { grouped } from "./grouped.ts";

/** A pressure that a specimen told. */
export interface PotReading {
  readonly atMs: number;
  /** Whose it is: what two bodies tell is never held against each other, only how each moves. */
  readonly by: string;
  readonly kpa: number;
  readonly stepKpa: number;
}

/** While the pot stood still. */
export interface Settled {
  readonly fromMs: number;
  /** The last reading of it. */
  readonly toMs: number;
  readonly count: number;
  /** By how much all readings together moved over it, where that is more than their scatter tells. */
  readonly driftKpa: number;
}

/** Fewer readings tell nothing about standing still. */
const LEAST_READINGS = 3;
/** So many neighbours in time are taken together, so that one odd specimen does not break it. */
const TOGETHER = 5;
/** Further from the gauge than this it was not this fill. */
const COARSE_KPA = 15;
/** How far the pot may move either way, in scatters of a reading, or in steps of the sensors where that is more. */
const STILL_SCATTERS = 1.5;
const STILL_STEPS = 1;
/** But never by more than this part of what a good specimen may be off. */
const MOST_OF_LIMIT = 0.25;

/**
 * The longest time in which all specimens together told of a pot that stands still at about what the gauge shows, from
 * their telegrams alone: each specimen's readings are taken against their own middle, and the middle of
 * neighbours in time must stay within a step or so. It finds both ends: air that cools after a fill, and the pot that
 * is let down before anybody says so.
 *
 * @param readings In order of time.
 * @param limitKpa How far a good specimen may be off the gauge.
 * @returns `undefined`: it did not stand still, or too little was told.
 */
export function settledIn(readings: readonly PotReading[], gaugeKpa: number, limitKpa: number): Settled | undefined {
  const coarseKpa = Math.max(COARSE_KPA, 2 * limitKpa);
  const moved = movements(readings, gaugeKpa, coarseKpa);
  if (moved.length < LEAST_READINGS) return undefined;
  const step = median(readings.map(({ stepKpa }) => stepKpa));
  const scatter = Math.min(STILL_SCATTERS * scatterOf(moved, coarseKpa), MOST_OF_LIMIT * limitKpa);
  const allowed = Math.max(STILL_STEPS * step, scatter);
  const smooth = moved.map((_, i) => median(moved.slice(Math.max(0, i - 2), i + TOGETHER - 2).map(({ by }) => by)));
  const [from, to] = longestWithin(smooth, 2 * allowed, coarseKpa, (i) => moved[i]!.atMs);
  if (to - from < LEAST_READINGS) return undefined;
  const run = moved.slice(from, to);
  // A specimen's single reading is its own middle, and tells nothing of a pot that moves.
  const counts = [...grouped(run, ({ who }) => who).values()].map(({ length }) => length);
  if (counts.filter((count) => count > 1).length < counts.length / 2) return undefined;
  return {
    fromMs: run[0]!.atMs,
    toMs: run.at(-1)!.atMs,
    count: run.length,
    driftKpa: driftOf(run),
  };
}

interface Moved {
  readonly atMs: number;
  readonly who: string;
  /** From the middle of what its specimen told near the gauge's value. */
  readonly by: number;
}

function movements(readings: readonly PotReading[], gaugeKpa: number, coarseKpa: number): Moved[] {
  const middles = new Map(
    [...grouped(readings, ({ by }) => by)].flatMap(([by, own]) => {
      const near = own.filter(({ kpa }) => Math.abs(kpa - gaugeKpa) <= coarseKpa);
      const told = near.length > 0 ? near : own;
      return told.length < 2 ? [] : [[by, median(told.map(({ kpa }) => kpa))] as const];
    }),
  );
  return readings.flatMap(({ atMs, by, kpa }) => {
    const middle = middles.get(by);
    return middle === undefined ? [] : [{ atMs, who: by, by: kpa - middle }];
  });
}

/** Of a reading, by how neighbours in time differ: a pot that fills or empties for a while does not widen it. */
function scatterOf(moved: readonly Moved[], coarseKpa: number): number {
  const near = moved.filter(({ by }) => Math.abs(by) <= coarseKpa);
  const steps = near.slice(1).map(({ by }, i) => Math.abs(by - near[i]!.by));
  return steps.length === 0 ? 0 : (1.4826 * median(steps)) / Math.SQRT2;
}

/** Half open; the longest in time whose values stay within a width, and all near nothing. */
function longestWithin(
  values: readonly number[],
  width: number,
  near: number,
  atMs: (i: number) => number,
): [number, number] {
  let best: [number, number] = [0, 0];
  let from = 0;
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  const widen = (value: number) => {
    least = Math.min(least, value);
    most = Math.max(most, value);
  };
  const begin = (at: number, to: number) => {
    from = at;
    [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (let i = from; i < to; i++) widen(values[i]!);
  };
  for (let to = 1; to <= values.length; to++) {
    if (Math.abs(values[to - 1]!) > near) {
      begin(to, to);
      continue;
    }
    widen(values[to - 1]!);
    while (most - least > width) begin(from + 1, to);
    const isLonger = best[1] === 0 || atMs(to - 1) - atMs(from) > atMs(best[1] - 1) - atMs(best[0]);
    if (isLonger) best = [from, to];
  }
  return best;
}

/** Over the run, where the slope is more than twice its own uncertainty. */
function driftOf(run: readonly Moved[]): number {
  const seconds = run.map(({ atMs, by }) => ({ x: (atMs - run[0]!.atMs) / 1000, y: by }));
  const span = seconds.at(-1)!.x;
  if (!(span > 0)) return 0;
  const { slope, sxx, residual } = fitLine(seconds);
  if (residual === null || Math.abs(slope) < (2 * residual) / Math.sqrt(sxx)) return 0;
  return Math.abs(slope) * span;
}
