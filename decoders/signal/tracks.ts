import { gammaQuantileOverMean } from "./floor.ts";

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
  /** Mean power over all its channels while it lasted, and the noise under it. */
  readonly power: number;
  readonly noise: number;
}

export interface Tracker {
  /** One more step. `power` and `level` have one value a channel. Returns the tracks that ended for good. */
  step(power: Float32Array, level: Float32Array): Track[];
  /** No more steps: what is still open ends here. */
  end(): Track[];
  /** No track that is still to come starts before this step. */
  settledStep(): number;
  /** Strongest sum of about 2 ms in one channel over its noise so far, as a ratio, whether a track or not. */
  strongest(): number;
}

interface Open {
  first: number;
  last: number;
  low: number;
  high: number;
  peak: number;
  power: number;
  noise: number;
}

/** Steps added up for one decision: about 2 ms, the shortest burst that is looked for. */
const SUM_STEPS = 4;
/** Of these, so many must be hot by themselves: an impulse heats one or two. */
const NEEDED_STEPS = 3;
/** Normal quantiles: of the summed decision (about 1e-9 a cell) and of a single step. */
const SUM_Z = 6;
const STEP_Z = 2;
/** A silence shorter than this does not end a burst. */
const GAP_SECONDS = 0.003;
/** What lasts longer is closed and begun anew. */
const LONGEST_SECONDS = 0.4;

/**
 * Follows what rises over the noise through time and band.
 *
 * @param averages Transforms averaged in a step's value.
 */
export function createTracker(channels: number, averages: number, stepSeconds: number): Tracker {
  const sumThreshold = gammaQuantileOverMean(averages * SUM_STEPS, SUM_Z);
  const stepThreshold = gammaQuantileOverMean(averages, STEP_Z);
  const gapSteps = Math.max(2, Math.ceil(GAP_SECONDS / stepSeconds));
  const longest = Math.ceil(LONGEST_SECONDS / stepSeconds);
  // The last SUM_STEPS rows of power over noise, and which of their cells belong to something.
  const ratios = Array.from({ length: SUM_STEPS }, () => new Float32Array(channels));
  const powers = Array.from({ length: SUM_STEPS }, () => new Float32Array(channels));
  const noises = Array.from({ length: SUM_STEPS }, () => new Float32Array(channels));
  const hot = Array.from({ length: SUM_STEPS }, () => new Uint8Array(channels));
  let seen = 0;
  let strongest = 0;
  let open: Open[] = [];
  let closed: Open[] = [];

  const row = (step: number) => step % SUM_STEPS;

  /** All decisions about this step have fallen: its runs of hot cells go to the tracks. */
  function settle(step: number): void {
    const cells = hot[row(step)]!;
    for (let c = 0; c < channels; c++) {
      if (!cells[c]) continue;
      const low = c;
      let end = c + 1;
      while (end < channels && (cells[end] || (end + 1 < channels && cells[end + 1]))) end++;
      c = end;
      take(step, low, end);
    }
    const still: Open[] = [];
    for (const track of open) {
      if (step - track.last > gapSteps || step - track.first > longest) closed.push(track);
      else still.push(track);
    }
    open = still;
  }

  function take(step: number, low: number, high: number): void {
    const r = ratios[row(step)]!;
    const p = powers[row(step)]!;
    const n = noises[row(step)]!;
    let peak = 0;
    let power = 0;
    let noise = 0;
    for (let c = low; c < high; c++) {
      peak = Math.max(peak, r[c]!);
      power += p[c]!;
      noise += n[c]!;
    }
    let best: Open | undefined;
    for (const track of open) {
      if (track.low > high + 1 || track.high < low - 1) continue;
      if (!best || overlap(track, low, high) > overlap(best, low, high)) best = track;
    }
    if (!best) {
      open.push({ first: step, last: step, low, high, peak, power, noise });
      return;
    }
    best.last = step;
    best.low = Math.min(best.low, low);
    best.high = Math.max(best.high, high);
    best.peak = Math.max(best.peak, peak);
    best.power += power;
    best.noise += noise;
  }

  function release(all: boolean): Track[] {
    // A closed track waits until nothing that runs beside it can still turn out to be the other half of it.
    const ready: Open[] = [];
    const wait: Open[] = [];
    const merged = all ? mergeRelated([...closed, ...open]) : mergeRelated(closed);
    if (all) open = [];
    for (const track of merged) {
      const partner = !all && open.some((other) => mayJoin(other, track));
      (partner ? wait : ready).push(track);
    }
    closed = wait;
    return ready
      .filter((track) => track.last - track.first + 1 >= NEEDED_STEPS)
      .sort((a, b) => a.first - b.first)
      .map((track) => ({
        firstStep: track.first,
        endStep: track.last + 1,
        lowChannel: track.low,
        highChannel: track.high,
        peak: track.peak,
        power: track.power / (track.last - track.first + 1),
        noise: track.noise / (track.last - track.first + 1),
      }));
  }

  return {
    step(power, level) {
      const here = row(seen);
      hot[here]!.fill(0);
      powers[here]!.set(power);
      noises[here]!.set(level);
      const ratio = ratios[here]!;
      for (let c = 0; c < channels; c++) ratio[c] = power[c]! / level[c]!;
      seen++;
      if (seen < SUM_STEPS) return [];
      const [a, b, c3, d] = ratios as [Float32Array, Float32Array, Float32Array, Float32Array];
      for (let c = 0; c < channels; c++) {
        const sum = a[c]! + b[c]! + c3[c]! + d[c]!;
        if (sum > strongest) strongest = sum;
        if (sum < SUM_STEPS * sumThreshold) continue;
        let count = 0;
        for (const r of ratios) if (r[c]! > stepThreshold) count++;
        if (count < NEEDED_STEPS) continue;
        for (let k = 0; k < SUM_STEPS; k++) if (ratios[k]![c]! > stepThreshold) hot[k]![c] = 1;
      }
      settle(seen - SUM_STEPS);
      return closed.length > 0 ? release(false) : [];
    },
    end() {
      for (let step = Math.max(0, seen - SUM_STEPS + 1); step < seen; step++) settle(step);
      return release(true);
    },
    settledStep() {
      let step = Math.max(0, seen - SUM_STEPS + 1);
      for (const track of [...open, ...closed]) step = Math.min(step, track.first);
      return step;
    },
    strongest() {
      return strongest / SUM_STEPS;
    },
  };
}

function overlap(track: Open, low: number, high: number): number {
  return Math.min(track.high, high) - Math.max(track.low, low);
}

/** Tracks that begin and end together are the two frequencies of one sender; a far weaker one inside is its skirt. */
function mergeRelated(tracks: readonly Open[]): Open[] {
  const kept: Open[] = [];
  for (const track of [...tracks].sort((a, b) => b.peak - a.peak)) {
    const sender = kept.find((main) => together(main, track) || skirtOf(main, track));
    if (!sender) {
      kept.push(track);
      continue;
    }
    if (!together(sender, track)) continue;
    sender.first = Math.min(sender.first, track.first);
    sender.last = Math.max(sender.last, track.last);
    sender.low = Math.min(sender.low, track.low);
    sender.high = Math.max(sender.high, track.high);
    sender.power += track.power;
    sender.noise += track.noise;
  }
  return kept;
}

const TOGETHER_STEPS = 3;
/** Two frequencies of one sender lie no further apart than this many channels of about 12 kHz. */
const TOGETHER_CHANNELS = 20;
const TOGETHER_RATIO = 30;
const SKIRT_RATIO = 100;

/** Could this open track turn out to be the closed one's other frequency, or what it is the skirt of? */
function mayJoin(open: Open, closed: Open): boolean {
  return open.first <= closed.first + TOGETHER_STEPS && apart(open, closed) <= TOGETHER_CHANNELS;
}

function together(a: Open, b: Open): boolean {
  return (
    Math.abs(a.first - b.first) <= TOGETHER_STEPS &&
    Math.abs(a.last - b.last) <= TOGETHER_STEPS &&
    apart(a, b) <= TOGETHER_CHANNELS &&
    a.peak / b.peak < TOGETHER_RATIO
  );
}

function skirtOf(main: Open, track: Open): boolean {
  return (
    track.first >= main.first - 1 &&
    track.last <= main.last + 1 &&
    apart(main, track) <= TOGETHER_CHANNELS &&
    main.peak / track.peak > SKIRT_RATIO
  );
}

function apart(a: Open, b: Open): number {
  return Math.max(0, Math.max(a.low, b.low) - Math.min(a.high, b.high));
}
