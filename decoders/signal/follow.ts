import type { Kernels } from "./kernels/kernels.ts";
import { LEAD_STEPS, SUM_STEPS, type Track, type Tracker } from "./tracks.ts";

/** The peaks of the kernels are not quite those of the tracker. */
const ALMOST = 0.999;

/**
 * Gives the tracker the rows of a stretch, passing over those that can neither open a track, nor carry one on, nor
 * be the strongest: in most of a recording, nearly all. The same tracks come out as if it had seen every row.
 *
 * @param level Length `channels`: the noise of each, the same for all rows.
 */
export function follow(
  tracker: Tracker,
  kernels: Kernels,
  firstRow: number,
  rows: number,
  level: Float32Array,
): Track[] {
  const channels = level.length;
  const { power } = kernels;
  const peaks = kernels.peaks(firstRow, rows, level, tracker.openAt);
  const tracks: Track[] = [];
  let last = Number.NEGATIVE_INFINITY; // the latest row that matters, up to here
  let next = 0; // the first one from here on
  for (let r = 0; r < rows; ) {
    if (next < r) next = r;
    const strongest = ALMOST * tracker.strongest() * SUM_STEPS;
    while (next < rows && peaks[2 * next]! <= strongest && peaks[2 * next + 1]! <= ALMOST) next++;
    if (next === r) last = r;
    // What the next stretch begins with is not known yet, so its lead is gone through as well.
    const until = Math.min(next, rows) - LEAD_STEPS;
    if (r - last > SUM_STEPS && until > r && tracker.idle()) {
      tracker.pass(until - r);
      r = until;
      continue;
    }
    const at = (firstRow + r) * channels;
    tracks.push(...tracker.step(power.subarray(at, at + channels), level));
    r++;
  }
  return tracks;
}
