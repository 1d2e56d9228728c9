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
  /** How far from where it then stood the pot was when the gauge was read. */
  readonly sinceReadKpa: number;
}

/** So far beside a time that stood still the gauge may have been read: at least, and in gaps between telegrams. */
const LEAST_SLACK_MS = 1000;
const SLACK_GAPS = 5;
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
 * The time in which all specimens together told of a pot that stands still at about what the gauge shows, from
 * their telegrams alone: each specimen's readings are taken against their own middle, and the middle of
 * neighbours in time must stay within a step or so. It finds both ends: air that cools after a fill, and the pot that
 * is let down before anybody says so. Of several such times it is the one in which the gauge was read, else the next one after
 * that, else the last before; where nobody read it at a moment, the longest.
 *
 * @param readings In order of time.
 * @param limitKpa How far a good specimen may be off the gauge.
 * @param readMs When the gauge was read; `undefined`: it tells by itself all the time.
 * @returns `undefined`: it did not stand still, or too little was told.
 */
export function settledIn(
  readings: readonly PotReading[],
  gaugeKpa: number,
  limitKpa: number,
  readMs?: number,
): Settled | undefined {
  const coarseKpa = Math.max(COARSE_KPA, 2 * limitKpa);
  const moved = movements(readings, gaugeKpa, coarseKpa);
  if (moved.length < LEAST_READINGS) return undefined;
  const step = median(readings.map(({ stepKpa }) => stepKpa));
  const scatter = Math.min(STILL_SCATTERS * scatterOf(moved, coarseKpa), MOST_OF_LIMIT * limitKpa);
  const allowed = Math.max(STILL_STEPS * step, scatter);
  const smooth = moved.map((_, i) => median(moved.slice(Math.max(0, i - 2), i + TOGETHER - 2).map(({ by }) => by)));
  const all = stillRuns(smooth, 2 * allowed, coarseKpa).filter(([from, to]) => isTold(moved.slice(from, to)));
  // While it cools any short time lies within the width; one that does not go anywhere is better, if there is one.
  const still = all.filter(([from, to]) => driftOf(moved.slice(from, to)) <= allowed);
  const runs = still.length > 0 ? still : all;
  const best = readMs === undefined ? longest(runs, moved) : nearest(runs, moved, readMs);
  if (!best) return undefined;
  const run = moved.slice(...best);
  return {
    fromMs: run[0]!.atMs,
    toMs: run.at(-1)!.atMs,
    count: run.length,
    driftKpa: driftOf(run),
    sinceReadKpa: readMs === undefined ? 0 : movedSince(moved, smooth, run, readMs),
  };
}

/** A specimen's single reading is its own middle, and tells nothing of a pot that moves. */
function isTold(run: readonly Moved[]): boolean {
  if (run.length < LEAST_READINGS) return false;
  const counts = [...grouped(run, ({ who }) => who).values()].map(({ length }) => length);
  return counts.filter((count) => count > 1).length >= counts.length / 2;
}

type Run = readonly [from: number, to: number];

function longest(runs: readonly Run[], moved: readonly Moved[]): Run | undefined {
  const length = ([from, to]: Run) => moved[to - 1]!.atMs - moved[from]!.atMs;
  return runs.reduce<Run | undefined>((best, run) => (best && length(best) >= length(run) ? best : run), undefined);
}

/** The longest in which a moment lies, give or take some telegrams; else the next after it, else the last before. */
function nearest(runs: readonly Run[], moved: readonly Moved[], ms: number): Run | undefined {
  const gaps = moved.slice(1).map(({ atMs }, i) => atMs - moved[i]!.atMs);
  const slackMs = Math.max(LEAST_SLACK_MS, SLACK_GAPS * (gaps.length === 0 ? 0 : median(gaps)));
  const [begins, ends] = [([from]: Run) => moved[from]!.atMs, ([, to]: Run) => moved[to - 1]!.atMs];
  const around = runs.filter((run) => begins(run) <= ms + slackMs && ends(run) >= ms - slackMs);
  if (around.length > 0) return longest(around, moved);
  return runs.find((run) => begins(run) > ms) ?? runs.findLast((run) => ends(run) < ms);
}

/** By how much the pot had moved away from where it stood when the gauge was read, outside of the time in which it did. */
function movedSince(moved: readonly Moved[], smooth: readonly number[], run: readonly Moved[], ms: number): number {
  if (ms >= run[0]!.atMs && ms <= run.at(-1)!.atMs) return 0;
  const at = moved.reduce((best, one, i) => (Math.abs(one.atMs - ms) < Math.abs(moved[best]!.atMs - ms) ? i : best), 0);
  return Math.abs(smooth[at]! - median(run.map(({ by }) => by)));
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

/** Every stretch, half open, whose values stay within a width and near nothing, and that cannot be made longer. */
function stillRuns(values: readonly number[], width: number, near: number): Run[] {
  const runs: Run[] = [];
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
  for (const [i, value] of values.entries()) {
    if (Math.abs(value) > near) {
      if (i > from) runs.push([from, i]);
      begin(i + 1, i + 1);
      continue;
    }
    const before = from;
    widen(value);
    while (most - least > width) begin(from + 1, i + 1);
    if (from > before && i > before) runs.push([before, i]);
  }
  if (values.length > from) runs.push([from, values.length]);
  return runs;
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
