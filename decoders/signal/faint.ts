import { type Box, bestBox, type Cells, rises } from "./boxes.ts";
import type { Grid } from "./channeliser.ts";
import type { Kernels } from "./kernels/kernels.ts";
import { sumAt, type WidthIndex, zOfChance } from "./sums.ts";
import { reachOf, type Track } from "./tracks.ts";

/** Looks for what lies too low for the tracker: sums over 2 to 32 ms, in one run of channels or in two at once. */
export interface FaintSearch {
  /**
   * One more stretch of rows, after the tracker has seen it.
   *
   * @param level Length `channels`: the noise of each, the same for all rows of this stretch.
   * @param tracks What the tracker brought of it.
   * @param settledStep No track that the tracker still brings starts before it; Infinity after the last stretch.
   * @returns Those tracks, the low ones better measured, and what was found beside them.
   */
  stretch(rows: number, level: Float32Array, tracks: readonly Track[], settledStep: number): Track[];
  /** No track that is still to come starts before this step. */
  settledStep(): number;
}

/**
 * Passes a second of noise if every cell were one sum: of what stands by itself, and of what only counts if it comes
 * again. With all lengths, widths and pairs, and the floor as it is estimated, noise was counted to bring less than one
 * burst a minute and two or three faint ones a second, at 0.25, 1 and 2.4 megasamples a second.
 */
const MAIN_RATE = 1 / 1500;
const FAINT_RATE = 3;
/** Rows on both sides of what triggered that are searched as well. */
const CONTEXT = 24;
/** A cell counts no more than this over its noise: an impulse is in one. */
const MOST_EXCESS = 4;
/** A track whose strongest cell is lower than this is measured anew. */
const LOW_PEAK = 10;
/** Rows and channels around a track that are not searched: its edges and its skirts. */
const EDGE_ROWS = 4;
const EDGE_CHANNELS = 3;
/** Farther off, what runs beside a track and is so much weaker is its skirt. */
const SKIRT_RATIO = 1000;
/** More in one place is not noise with a burst in it. */
const MOST_FOUND = 8;
const LONG_ROWS = 16;
/** What is shorter is an impulse. */
const LEAST_ROWS = 3;

/** @param firstRow Of `kernels.power`, where each stretch begins; before it stand the rows of the stretch before. */
export function createFaintSearch(grid: Grid, widestHz: number, kernels: Kernels, firstRow: number): FaintSearch {
  const { channels, averages, stepSeconds } = grid;
  const { power } = kernels;
  const reach = reachOf(grid, widestHz);
  const cells = channels / stepSeconds; // a second
  const mainZ = zOfChance(MAIN_RATE / cells);
  const faintZ = zOfChance(FAINT_RATE / cells);
  const trigger = (w: WidthIndex) => sumAt(averages, LONG_ROWS, w, faintZ);
  const triggers = [trigger(0), trigger(1), trigger(2)] as const;
  /** Standard deviation of a row's mean over its channels, which share noise. */
  const rowSigma = Math.sqrt(2 / (averages * channels));

  /** Step of `firstRow`. */
  let start = 0;
  let rowsBefore = 0;
  let levelBefore: Float32Array | undefined;
  let settled = 0;
  /** Steps in which something may be, half open, in order and apart. */
  let hot: { from: number; to: number }[] = [];
  let low: Track[] = [];
  /** What is over already, for as long as something beside it may still be looked at. */
  let known: Track[] = [];

  function listen(rows: number, level: Float32Array): void {
    const lead = Math.min(LONG_ROWS - 4, rowsBefore) & ~3;
    if (levelBefore && lead > 0) {
      // Sums over two levels.
      const least = level.map((own, c) => Math.min(own, levelBefore![c]!));
      listenFrom(-lead, Math.min(rows, lead) + lead, least);
    }
    listenFrom(0, rows, level);
  }

  function listenFrom(from: number, rows: number, level: Float32Array): void {
    const peaks = kernels.longPeaks(firstRow + from, rows, level, triggers);
    for (let b = 3; b < peaks.length; b++) {
      if (peaks[b]! > 1) hot.push({ from: start + from + 4 * b - 12, to: start + from + 4 * b + 4 });
    }
  }

  /** What is near each other is looked at as one. */
  function join(): void {
    const all = hot.sort((a, b) => a.from - b.from);
    hot = [];
    for (const one of all) {
      const last = hot.at(-1);
      if (last && one.from - last.to <= 2 * CONTEXT) last.to = Math.max(last.to, one.to);
      else hot.push(one);
    }
  }

  function cellsOf(from: number, to: number, level: Float32Array, beside: readonly Track[]): Cells {
    const rows = to - from;
    const excess = new Float32Array(rows * channels);
    const means = new Float64Array(rows);
    for (let r = 0; r < rows; r++) {
      const here = from + r < start ? (levelBefore ?? level) : level;
      const at = (firstRow + from + r - start) * channels;
      let sum = 0;
      for (let c = 0; c < channels; c++) {
        const value = Math.min(MOST_EXCESS, power[at + c]! / here[c]! - 1);
        excess[r * channels + c] = value;
        sum += value;
      }
      means[r] = sum / channels;
    }
    const cells = { excess, rows, channels, averages };
    for (const track of beside) clear(cells, from, track, reach, means);
    levelOut(excess, means);
    return cells;
  }

  /** An impulse, and a receiver that changes its gain, raise all channels alike: that much is taken off again. */
  function levelOut(excess: Float32Array, means: Float64Array): void {
    const rows = means.length;
    let near = 0;
    let most = 0;
    let mostNear = 0;
    for (let r = 0; r < rows; r++) {
      most = Math.max(most, means[r]!);
      near += means[r]! - (means[r - LONG_ROWS] ?? 0);
      mostNear = Math.max(mostNear, near / LONG_ROWS);
    }
    if (most < 5 * rowSigma && mostNear < (4 * rowSigma) / Math.sqrt(LONG_ROWS)) return;
    const middle = channels >> 1;
    // The median lies this much under the mean where there is only noise.
    const under = 1 / (3 * averages);
    for (let r = 0; r < rows; r++) {
      const row = excess.subarray(r * channels, (r + 1) * channels);
      const common = row.slice().sort()[middle]! + under;
      for (let c = 0; c < channels; c++) row[c] = row[c]! - common;
    }
  }

  /** @param means Of the rows, which lose what is cleared. */
  function clear({ excess, rows }: Cells, from: number, track: Track, edge: number, means?: Float64Array): void {
    const lowest = Math.max(0, track.lowChannel - edge);
    const highest = Math.min(channels, track.highChannel + edge);
    const last = Math.min(rows, track.endStep + EDGE_ROWS - from);
    for (let r = Math.max(0, track.firstStep - EDGE_ROWS - from); r < last; r++) {
      for (let i = r * channels + lowest; i < r * channels + highest; i++) {
        if (means) means[r] = means[r]! - excess[i]! / channels;
        excess[i] = 0;
      }
    }
  }

  /** @param sure Something is there, so that it need not rise before it is looked at. */
  function examine(from: number, to: number, level: Float32Array, sure: boolean): Track[] {
    const beside = known.filter((track) => track.endStep + EDGE_ROWS > from && track.firstStep - EDGE_ROWS < to);
    const cells = cellsOf(from, to, level, beside);
    const found: Track[] = [];
    // Mostly it was a strong one beside it that rose.
    if (!sure && beside.length > 0 && !rises(cells, triggers)) return found;
    for (let n = 0; n < MOST_FOUND; n++) {
      if (n > 0 && !rises(cells, triggers)) break;
      const box = bestBox(cells, reach, faintZ);
      if (!box) break;
      const track = trackOf(box, from, level);
      clear(cells, from, track, EDGE_CHANNELS);
      const strong = [...beside, ...found];
      if (track.endStep - track.firstStep < LEAST_ROWS) continue;
      if (!strong.some((other) => belongs(other, track, box.level))) found.push(track);
    }
    return found;
  }

  function belongs(other: Track, track: Track, level: number): boolean {
    const shared = Math.min(other.endStep, track.endStep) - Math.max(other.firstStep, track.firstStep);
    if (shared <= 0.5 * Math.min(track.endStep - track.firstStep, other.endStep - other.firstStep)) return false;
    const apart = Math.max(other.lowChannel, track.lowChannel) - Math.min(other.highChannel, track.highChannel);
    return apart <= reach || other.peak > SKIRT_RATIO * level;
  }

  function trackOf(box: Box, from: number, level: Float32Array): Track {
    const { lowChannel, highChannel, z } = box;
    let peak = 0;
    let noise = 0;
    for (let step = from + box.firstRow; step < from + box.endRow; step++) {
      const here = step < start ? (levelBefore ?? level) : level;
      const at = (firstRow + step - start) * channels;
      for (let c = lowChannel; c < highChannel; c++) {
        peak = Math.max(peak, power[at + c]! / here[c]!);
        noise += here[c]!;
      }
    }
    noise /= (box.endRow - box.firstRow) * (highChannel - lowChannel);
    const [firstStep, endStep] = [from + box.firstRow, from + box.endRow];
    return { firstStep, endStep, lowChannel, highChannel, peak, noise, faint: z < mainZ };
  }

  return {
    stretch(rows, level, tracks, settledStep) {
      listen(rows, level);
      const done: Track[] = [];
      for (const track of tracks) {
        if (track.peak < LOW_PEAK && track.firstStep >= start - rowsBefore) {
          low.push(track);
          hot.push({ from: track.firstStep, to: track.endStep });
        } else {
          known.push(track);
          done.push(track);
        }
      }
      join();
      const limit = Math.min(settledStep, start + rows);
      const wait: typeof hot = [];
      for (const { from, to } of hot) {
        const first = Math.max(start - rowsBefore, from - CONTEXT);
        const whole = to + CONTEXT <= limit || settledStep === Number.POSITIVE_INFINITY;
        // What does not wait for its end leaves the memory.
        if (!whole && from - CONTEXT >= start) {
          wait.push({ from, to });
          continue;
        }
        const last = Math.min(limit, to + CONTEXT);
        const mine = low.filter((track) => track.firstStep < last);
        const found = last - first >= LONG_ROWS ? examine(first, last, level, mine.length > 0) : [];
        low = low.filter((track) => !mine.includes(track));
        for (const track of mine) {
          const i = found.findIndex((other) => belongs(other, track, Number.POSITIVE_INFINITY));
          if (i < 0) found.push(track);
          else found[i] = { ...found[i]!, faint: false };
        }
        known.push(...found);
        done.push(...found);
        if (!whole) wait.push({ from: Math.max(start, limit), to });
      }
      hot = wait;
      known = known.filter((track) => track.endStep + EDGE_ROWS > start);
      start += rows;
      rowsBefore = rows;
      levelBefore = level;
      settled = Math.min(settledStep, start - LONG_ROWS - CONTEXT);
      for (const { from } of hot) settled = Math.min(settled, from - CONTEXT);
      return done.sort((a, b) => a.firstStep - b.firstStep);
    },
    settledStep() {
      return Math.max(0, settled);
    },
  };
}
