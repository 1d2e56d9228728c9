import type { Grid } from "./channeliser.ts";
import { sumAt, WIDTHS, type WidthIndex } from "./sums.ts";

/** A stretch of time and band in which something was sent. Steps count from the start of the capture. */
export interface Track {
  readonly firstStep: number;
  /** Half open. */
  readonly endStep: number;
  readonly lowChannel: number;
  /** Half open. */
  readonly highChannel: number;
  /** Largest power over the noise of one cell, as a ratio. */
  readonly peak: number;
  /** Mean noise of a channel under it. */
  readonly noise: number;
  /** Too low to be believed by itself. */
  readonly faint: boolean;
}

export interface Tracker {
  /** One more step. `power` and `level` have one value a channel. Returns the tracks that ended for good. */
  step(power: Float32Array, level: Float32Array): Track[];
  /**
   * Goes over steps that can matter to no track: nothing is open, and no sum that opens one lies within `LEAD_STEPS`
   * after them or `SUM_STEPS` before.
   */
  pass(steps: number): void;
  /** Nothing is open, and nothing waits for something that is. */
  idle(): boolean;
  /** No more steps: what is still open ends here. */
  end(): Track[];
  /** No track that is still to come starts before this step. */
  settledStep(): number;
  /** Strongest 2 ms in one channel over its noise so far, as the decision counts it: a ratio, whether a track or not. */
  strongest(): number;
  /** What that would have to be for a track. */
  readonly needed: number;
  /** Over the noise, sums of four steps over one, two and four channels that open a track. */
  readonly openAt: readonly [number, number, number];
}

interface Open {
  first: number;
  last: number;
  low: number;
  high: number;
  peak: number;
  noise: number;
  /** Cells added up in `noise`. */
  steps: number;
  /** By channel, in how many steps it was hot. */
  readonly hits: Uint16Array;
}

/** Steps added up for one decision: about 2 ms, the shortest burst that is looked for. */
export const SUM_STEPS = 4;
/** Of these, so many must be hot by themselves: an impulse heats one or two. */
const NEEDED_STEPS = 3;
/** Normal quantiles of the summed decision that opens a track (about 1e-9 a cell), and of one that carries it on. */
const OPEN_Z = 6;
const CARRY_Z = 3;
/** The same for a single step, which by itself decides nothing. */
const STEP_Z = 1.3;
/** A silence shorter than this does not end a burst. */
const GAP_SECONDS = 0.003;
/** What lasts longer is closed and begun anew. */
const LONGEST_SECONDS = 0.4;
/** A valley this deep between two peaks parts them. */
const VALLEY_RATIO = 4;
/** A channel belongs to a burst's band that is hot for this share of the time that the band's busiest is. */
const BAND_SHARE = 1 / 8;
/** How far back a new track looks for its beginning. */
const LOOK_BACK_STEPS = 16;
/** A track that opens now depends on no step further back: it looks back from the first of four, each decided by four. */
export const LEAD_STEPS = LOOK_BACK_STEPS + 2 * SUM_STEPS;

/**
 * Follows what rises over the noise through time and band.
 *
 * @param widestHz How far apart the two frequencies of one sender may be.
 */
export function createTracker(grid: Grid, widestHz: number): Tracker {
  const { channels, averages, stepSeconds } = grid;
  const reach = reachOf(grid, widestHz);
  const thresholds = (steps: number, z: number) =>
    [sumAt(averages, steps, 0, z), sumAt(averages, steps, 1, z), sumAt(averages, steps, 2, z)] as const;
  const openAt = thresholds(SUM_STEPS, OPEN_Z);
  const carryAt = thresholds(SUM_STEPS, CARRY_Z);
  const stepAt = thresholds(1, STEP_Z);
  const gapSteps = Math.max(2, Math.ceil(GAP_SECONDS / stepSeconds));
  const longest = Math.ceil(LONGEST_SECONDS / stepSeconds);
  const rows = LOOK_BACK_STEPS + SUM_STEPS;
  const ring = (make: () => Float32Array | Uint8Array) => Array.from({ length: rows }, make);
  const floats = () => ring(() => new Float32Array(channels)) as Float32Array[];
  const ratios = floats();
  const noises = floats();
  // By cell: 0 nothing, 1 carries a track on, 2 opens one.
  const heat = ring(() => new Uint8Array(channels)) as Uint8Array[];
  const sums = new Float32Array(channels);
  let seen = 0;
  /** First step since the last ones that were passed over. */
  let since = 0;
  let strongest = 0;
  let open: Open[] = [];
  let closed: Open[] = [];

  const row = (step: number) => step % rows;

  /** Decides about the four steps up to the newest one. */
  function decide(newest: number): void {
    sums.fill(0);
    for (let k = 0; k < SUM_STEPS; k++) {
      const ratio = ratios[row(newest - k)]!;
      for (let c = 0; c < channels; c++) sums[c] = sums[c]! + ratio[c]!;
    }
    for (let c = 0; c < channels; c++) {
      if (sums[c]! > strongest) strongest = Math.max(strongest, sums[c]! - excess(newest, c, 1));
    }
    for (let c = 0; c < channels; c++) {
      const one = sums[c]!;
      if (one > carryAt[0]) judge(newest, c, 0, one);
      if (c + 2 > channels) continue;
      const two = one + sums[c + 1]!;
      if (two > carryAt[1]) judge(newest, c, 1, two);
      if (c + 4 > channels) continue;
      const four = two + sums[c + 2]! + sums[c + 3]!;
      if (four > carryAt[2]) judge(newest, c, 2, four);
    }
  }

  function judge(newest: number, channel: number, w: WidthIndex, sum: number): void {
    const width = WIDTHS[w];
    const steady = sum - excess(newest, channel, width);
    if (steady > carryAt[w]) mark(newest, channel, width, steady > openAt[w] ? 2 : 1, stepAt[w]);
  }

  /** How far the strongest of the four steps stands over the second: an impulse is all in one. */
  function excess(newest: number, channel: number, width: number): number {
    let first = 0;
    let second = 0;
    for (let k = 0; k < SUM_STEPS; k++) {
      const value = stepSum(newest - k, channel, width);
      if (value > first) {
        second = first;
        first = value;
      } else if (value > second) second = value;
    }
    return first - second;
  }

  function mark(newest: number, channel: number, width: number, value: number, least: number): void {
    let hot = 0;
    for (let k = 0; k < SUM_STEPS; k++) if (stepSum(newest - k, channel, width) > least) hot++;
    if (hot < NEEDED_STEPS) return;
    for (let k = 0; k < SUM_STEPS; k++) {
      if (stepSum(newest - k, channel, width) <= least) continue;
      const cells = heat[row(newest - k)]!;
      const ratio = ratios[row(newest - k)]!;
      // Of a wide sum only the channels that carry it are meant.
      const share = Math.max(1, (0.5 * stepSum(newest - k, channel, width)) / width);
      for (let c = channel; c < channel + width; c++) if (ratio[c]! > share && cells[c]! < value) cells[c] = value;
    }
  }

  function stepSum(step: number, channel: number, width: number): number {
    const ratio = ratios[row(step)]!;
    let sum = 0;
    for (let c = channel; c < channel + width; c++) sum += ratio[c]!;
    return sum;
  }

  /** All decisions about this step have fallen: its hot cells go to the tracks. */
  function settle(step: number): void {
    const cells = heat[row(step)]!;
    for (const track of open) carryOn(track, step);
    for (let c = 0; c < channels; c++) {
      if (cells[c] !== 2) continue;
      const low = c;
      let end = c + 1;
      while (end < channels && (cells[end] === 2 || (end + 1 < channels && cells[end + 1] === 2))) end++;
      c = end;
      takeParts(step, low, end);
    }
    const still: Open[] = [];
    for (const track of open) {
      if (step - track.last > gapSteps || step - track.first > longest) closed.push(track);
      else still.push(track);
    }
    open = still;
  }

  /** A run of channels with a deep valley in it is two senders, or the two frequencies of one, which join again later. */
  function takeParts(step: number, low: number, high: number): void {
    const ratio = ratios[row(step)]!;
    let valley = -1;
    let deepest = VALLEY_RATIO;
    for (let v = low + 1; v < high - 1; v++) {
      let left = 0;
      let right = 0;
      for (let c = low; c < v; c++) left = Math.max(left, ratio[c]!);
      for (let c = v + 1; c < high; c++) right = Math.max(right, ratio[c]!);
      const depth = Math.min(left, right) / Math.max(1, ratio[v]!);
      if (depth > deepest) {
        deepest = depth;
        valley = v;
      }
    }
    if (valley < 0) take(step, low, high);
    else {
      takeParts(step, low, valley);
      takeParts(step, valley + 1, high);
    }
  }

  /** A cell that would not open a track is enough to show that one goes on. */
  function carryOn(track: Open, step: number): void {
    const cells = heat[row(step)]!;
    for (let c = track.low; c < track.high; c++) if (cells[c]) track.last = step;
  }

  function take(step: number, low: number, high: number): void {
    let best: Open | undefined;
    for (const track of open) {
      if (track.low > high + 1 || track.high < low - 1) continue;
      if (!best || overlap(track, low, high) > overlap(best, low, high)) best = track;
    }
    if (!best) {
      const hits = new Uint16Array(channels);
      best = { first: beginning(step, low, high), last: step, low, high, peak: 0, noise: 0, steps: 0, hits };
      open.push(best);
    }
    best.last = step;
    best.low = Math.min(best.low, low);
    best.high = Math.max(best.high, high);
    const at = row(step);
    for (let c = low; c < high; c++) {
      best.peak = Math.max(best.peak, ratios[at]![c]!);
      best.noise += noises[at]![c]!;
      best.hits[c] = best.hits[c]! + 1;
    }
    best.steps += high - low;
  }

  /** Where a track that opens here began: back over cells that carry on, with gaps no longer than a burst may have. */
  function beginning(step: number, low: number, high: number): number {
    let first = step;
    const oldest = Math.max(0, step - LOOK_BACK_STEPS + 1);
    for (let s = step - 1; s >= oldest && first - s <= gapSteps; s--) {
      const cells = heat[row(s)]!;
      for (let c = low; c < high; c++) if (cells[c]) first = s;
    }
    return first;
  }

  function release(all: boolean): Track[] {
    // A closed track waits until nothing that runs beside it can still turn out to be the other half of it.
    const ready: Open[] = [];
    const wait: Open[] = [];
    const merged = mergeRelated(all ? [...closed, ...open] : closed, reach);
    if (all) open = [];
    for (const track of merged) (!all && open.some((other) => mayJoin(other, track, reach)) ? wait : ready).push(track);
    closed = wait;
    return ready
      .filter((track) => track.last - track.first + 1 >= NEEDED_STEPS)
      .sort((a, b) => a.first - b.first)
      .map((track) => ({
        firstStep: track.first,
        endStep: track.last + 1,
        ...bandOf(track),
        peak: track.peak,
        noise: track.noise / track.steps,
        faint: false,
      }));
  }

  return {
    needed: openAt[0] / SUM_STEPS,
    openAt,
    step(power, level) {
      const here = row(seen);
      heat[here]!.fill(0);
      noises[here]!.set(level);
      const ratio = ratios[here]!;
      for (let c = 0; c < channels; c++) ratio[c] = power[c]! / level[c]!;
      seen++;
      if (seen - since < SUM_STEPS) return [];
      decide(seen - 1);
      settle(seen - SUM_STEPS);
      return closed.length > 0 ? release(false) : [];
    },
    pass(steps) {
      for (const cells of heat) cells.fill(0);
      seen += steps;
      since = seen;
    },
    idle() {
      return open.length === 0 && closed.length === 0;
    },
    end() {
      for (let step = Math.max(0, seen - SUM_STEPS + 1); step < seen; step++) settle(step);
      return release(true);
    },
    settledStep() {
      let step = Math.max(0, seen - rows);
      for (const track of [...open, ...closed]) step = Math.min(step, track.first);
      return step;
    },
    strongest() {
      return strongest / SUM_STEPS;
    },
  };
}

/** A channel at the edge that is hot for a moment only is touched by something else. */
function bandOf({ hits, low, high }: Open): { lowChannel: number; highChannel: number } {
  const least = BAND_SHARE * hits.reduce((most, count) => Math.max(most, count), 0);
  let lowChannel = low;
  let highChannel = high;
  while (hits[lowChannel]! < least) lowChannel++;
  while (hits[highChannel - 1]! < least) highChannel--;
  return { lowChannel, highChannel };
}

function overlap(track: Open, low: number, high: number): number {
  return Math.min(track.high, high) - Math.max(track.low, low);
}

/** Tracks that run together are the two frequencies of one sender; a far weaker one inside another is its skirt. */
function mergeRelated(tracks: readonly Open[], reach: number): Open[] {
  const kept: Open[] = [];
  for (const track of [...tracks].sort((a, b) => b.peak * length(b) - a.peak * length(a))) {
    const sender = kept.find((main) => near(main, track, reach) && together(main, track));
    if (!sender) {
      kept.push(track);
      continue;
    }
    sender.first = Math.min(sender.first, track.first);
    sender.last = Math.max(sender.last, track.last);
    sender.low = Math.min(sender.low, track.low);
    sender.high = Math.max(sender.high, track.high);
    sender.noise += track.noise;
    sender.steps += track.steps;
    for (let c = track.low; c < track.high; c++) sender.hits[c] = sender.hits[c]! + track.hits[c]!;
  }
  return kept.filter(
    (track) => !kept.some((main) => main !== track && near(main, track, reach) && skirtOf(main, track)),
  );
}

/** Two frequencies of one sender may lie this far apart, or further if a layout says so. */
const TOGETHER_HZ = 160_000;
const TOGETHER_RATIO = 30;
/** Of two frequencies of one sender the weaker may be noticed late and lost early, but not by more than this. */
const SHARED_OF_SHORTER = 0.75;
const SHARED_OF_LONGER = 0.6;
/** So much weaker than what it runs beside, a track is its skirt; less is enough within its own channels. */
const SKIRT_RATIO = 100;
const INSIDE_RATIO = 8;

/** How many channels apart two frequencies of one sender may be. */
export function reachOf(grid: Grid, widestHz: number): number {
  return Math.ceil(Math.max(TOGETHER_HZ, widestHz) / grid.channelHz);
}

function length(track: Open): number {
  return track.last - track.first + 1;
}

/** Could this open track turn out to be the closed one's other frequency, or what it is the skirt of? */
function mayJoin(open: Open, closed: Open, reach: number): boolean {
  return open.first <= closed.last && near(open, closed, reach);
}

function near(a: Open, b: Open, reach: number): boolean {
  return Math.max(0, Math.max(a.low, b.low) - Math.min(a.high, b.high)) <= reach;
}

function together(main: Open, track: Open): boolean {
  const shared = Math.min(main.last, track.last) - Math.max(main.first, track.first) + 1;
  const shorter = Math.min(length(main), length(track));
  const longer = Math.max(length(main), length(track));
  return (
    shared >= SHARED_OF_SHORTER * shorter &&
    shared >= SHARED_OF_LONGER * longer &&
    main.peak / track.peak < TOGETHER_RATIO &&
    track.peak / main.peak < TOGETHER_RATIO
  );
}

function skirtOf(main: Open, track: Open): boolean {
  if (track.first < main.first - 2 || track.last > main.last + 2) return false;
  const inside = track.low >= main.low - 1 && track.high <= main.high + 1;
  return main.peak / track.peak > (inside ? INSIDE_RATIO : SKIRT_RATIO);
}
