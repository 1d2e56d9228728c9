import type { Kernels } from "./kernels/kernels.ts";
import { LEAD_STEPS, SUM_STEPS, type Track, type Tracker } from "./tracks.ts";

/** Gives a tracker the rows of one stretch after another. */
export interface Follower {
  /**
   * @param level Length `channels`: the noise of each, the same for all rows of this stretch.
   * @returns The tracks that ended for good.
   */
  stretch(rows: number, level: Float32Array): Track[];
}

/** The peaks of the kernels are not quite those of the tracker. */
const ALMOST = 0.999;
/** A stretch's first decisions sum up rows of the stretch before as well. */
const SHARED_ROWS = SUM_STEPS - 1;

/**
 * Passes over the rows that can neither open a track, nor carry one on, nor be the strongest: in most of a recording,
 * nearly all. The same tracks come out as if the tracker had seen every row.
 *
 * @param firstRow Of `kernels.power`, where each stretch begins; before it stand the rows of the stretch before.
 */
export function createFollower(tracker: Tracker, kernels: Kernels, firstRow: number): Follower {
  const { power } = kernels;
  let levelBefore: Float32Array | undefined;
  /** Rows at the end of the stretch before that wait: they matter only if something opens soon after them. */
  let waiting = 0;
  /** The latest row that matters, counted from the stretch that runs. */
  let last = Number.NEGATIVE_INFINITY;

  /** How far the first rows rise, at most: their sums are over two levels. */
  function firstPeaks(rows: number, level: Float32Array): Float32Array {
    const least = level.map((own, c) => Math.min(own, levelBefore?.[c] ?? own));
    const count = Math.min(rows, SHARED_ROWS);
    const peaks = kernels.peaks(firstRow - SHARED_ROWS, SHARED_ROWS + count, least, tracker.openAt);
    return peaks.slice(2 * SHARED_ROWS, 2 * (SHARED_ROWS + count));
  }

  return {
    stretch(rows, level) {
      const first = firstPeaks(rows, level);
      const peaks = kernels.peaks(firstRow, rows, level, tracker.openAt);
      peaks.set(first);
      const channels = level.length;
      const tracks: Track[] = [];
      let next = 0; // the first one from here on
      let r = -waiting;
      while (r < rows) {
        if (next < r) next = r;
        const strongest = ALMOST * tracker.strongest() * SUM_STEPS;
        while (next < rows && peaks[2 * next]! <= strongest && peaks[2 * next + 1]! <= ALMOST) next++;
        if (next === r) last = r;
        if (r - last > SUM_STEPS && tracker.idle()) {
          const until = next - LEAD_STEPS;
          if (until > r) {
            tracker.pass(until - r);
            r = until;
          }
          // The next stretch tells whether the rest matters, if that much of this one is still there by then.
          if (next === rows && rows >= LEAD_STEPS) break;
        }
        const at = (firstRow + r) * channels;
        tracks.push(...tracker.step(power.subarray(at, at + channels), r < 0 ? (levelBefore ?? level) : level));
        r++;
      }
      waiting = rows - r;
      last -= rows;
      levelBefore = level;
      return tracks;
    },
  };
}
