import type { SampleType } from "../sources.ts";
import { type Grid, gridFor } from "./channeliser.ts";
import { createFaintSearch } from "./faint.ts";
import { estimateFloor, type Floor, quietRank } from "./floor.ts";
import { createFollower } from "./follow.ts";
import { type HeardBurst, heardBurst } from "./heardBurst.ts";
import { createHistory } from "./history.ts";
import { createKernels, type KernelSize, type Kernels } from "./kernels/kernels.ts";
import { bytesPerSample, roundingNoise, toFloats } from "./samples.ts";
import { createTracker, type Track } from "./tracks.ts";

/** A carrier without keying, as one stretch saw it. */
export interface SteadyCarrier {
  readonly offsetHz: number;
  readonly power: number;
  readonly overNoise: number;
  readonly samples: number;
}

/** Listens to one capture, block by block. */
export interface Ear {
  /** Bytes of whole or cut samples; any cutting gives the same bursts. */
  push(bytes: Uint8Array): HeardBurst[];
  end(): HeardBurst[];
  /** No burst that is still to come starts before this sample. */
  settledSample(): number;
  /** What the quiet of the capture was like. */
  quiet(): Quiet;
}

export interface Quiet {
  readonly samples: number;
  readonly clippedSamples: number;
  readonly steady: readonly SteadyCarrier[];
  /** Mean noise power over the band, full scale 1; 0 where nothing was heard yet. */
  readonly noisePower: number;
  /** Strongest 2 ms in one channel over its noise, as a ratio, whether a burst or not. */
  readonly strongest: number;
  /** What that would have to be for a burst; it depends on the rate. */
  readonly needed: number;
}

const STRETCH_SECONDS = 0.5;
/** A shorter stretch cannot tell a steady carrier from a burst that fills it. */
const SETTLED_SECONDS = 0.3;
const KEPT_SECONDS = 0.9;
const MARGIN_BEFORE_SECONDS = 0.003;
/** A low burst's end is told late or early by a few milliseconds, of one that comes in pulses by up to ten. */
const MARGIN_AFTER_SECONDS = 0.02;
const PIECE_BYTES = 256 * 1024;
const MOST_CELLS = 2_000_000;
const MOST_HISTORY_BYTES = 96 * 2 ** 20;

/**
 * @param widestHz How far apart the two frequencies of one sender may be.
 * @param make Where the kernels come from; an ear may have those of one that is done.
 */
export function createEar(
  sampleType: SampleType,
  sampleRateHz: number,
  widestHz: number,
  make: (size: KernelSize) => Kernels = createKernels,
): Ear {
  const grid = gridFor(sampleRateHz);
  const size = bytesPerSample(sampleType);
  const stepBytes = grid.stepSamples * size;
  const mostBytes = Math.max(MOST_HISTORY_BYTES, 64 * stepBytes);
  const wantedSteps = Math.round(STRETCH_SECONDS / grid.stepSeconds);
  const stretchSteps = Math.max(
    16,
    Math.min(wantedSteps, Math.floor(MOST_CELLS / grid.channels), Math.floor(mostBytes / 3 / stepBytes)),
  );
  const keptSteps = stretchSteps + Math.ceil(KEPT_SECONDS / grid.stepSeconds);
  const ringSteps = Math.floor(Math.min(keptSteps * stepBytes, mostBytes) / stepBytes);
  const ringBytes = ringSteps * stepBytes;
  // The upper half of the rows is the stretch that runs, the lower one the stretch before.
  const kernels = make({ sampleType, grid, rows: 2 * stretchSteps, ringBytes });
  const { power } = kernels;
  const history = createHistory(kernels.ring);
  const tracker = createTracker(grid, widestHz);
  const follower = createFollower(tracker, kernels, stretchSteps);
  const search = createFaintSearch(grid, widestHz, kernels, stretchSteps);
  const least = Math.max(roundingNoise(sampleType) / 20, 1e-15);

  let stepsBefore = 0;
  let steps = 0;
  let samples = 0;
  let clippedSamples = 0;
  let noiseSum = 0;
  let noiseSteps = 0;
  const steady: SteadyCarrier[] = [];

  /** Takes what has come in whole steps, up to where the ring begins anew. */
  function takeSteps(): void {
    for (;;) {
      const at = (samples * size) % ringBytes;
      const whole = Math.floor((history.end - samples * size) / stepBytes);
      const count = Math.min(whole, (ringBytes - at) / stepBytes);
      if (count === 0) return;
      clippedSamples += kernels.channelise(at, count, stretchSteps + steps);
      samples += count * grid.stepSamples;
      steps += count;
    }
  }

  /** The floor of a short last stretch leans on the one before. */
  function floorNow(): Floor {
    const borrowed = Math.min(stepsBefore, stretchSteps - steps);
    const rows = borrowed + steps;
    const quiet = kernels.ranked(stretchSteps - borrowed, rows, quietRank(rows));
    const settled = rows * grid.stepSeconds >= SETTLED_SECONDS;
    return estimateFloor(quiet, grid.averages, least, settled);
  }

  function finishStretch(ended: boolean): HeardBurst[] {
    const floor = floorNow();
    if (steps > 0) steady.push(...steadyCarriers(floor, grid, steps * grid.stepSamples));
    let mean = 0;
    for (const level of floor.around) mean += level / grid.channels;
    noiseSum += mean * steps;
    noiseSteps += steps;
    const tracks = follower.stretch(steps, floor.level);
    // What the tracker still holds when no more comes may run on to the very end.
    if (ended) tracks.push(...tracker.end());
    const settled = ended ? Number.POSITIVE_INFINITY : tracker.settledStep();
    const found = search.stretch(steps, floor.level, tracks, settled);
    power.copyWithin(0, stretchSteps * grid.channels);
    stepsBefore = steps;
    steps = 0;
    return found.flatMap((track) => toBursts(track, ended));
  }

  function toBursts(track: Track, ended: boolean): HeardBurst[] {
    const startSample = track.firstStep * grid.stepSamples;
    const endSample = track.endStep * grid.stepSamples;
    const oldest = Math.ceil(history.start / size);
    const firstSample = Math.max(oldest, startSample - Math.round(MARGIN_BEFORE_SECONDS * sampleRateHz));
    const lastSample = Math.min(samples, endSample + Math.round(MARGIN_AFTER_SECONDS * sampleRateHz));
    // Only at rates of hundreds of megasamples can a burst have left the history before its end was known.
    if (endSample <= firstSample) return [];
    const bytes = history.copy(firstSample * size, lastSample * size);
    const from = Math.max(0, startSample - firstSample);
    const inside = bytes.subarray(from * size, (endSample - firstSample) * size);
    // Mostly nothing at all was clipped so far.
    const clipped =
      clippedSamples === 0 ? 0 : toFloats(sampleType, inside, new Float32Array((2 * inside.length) / size));
    const place = {
      startSample,
      endSample,
      lowHz: (track.lowChannel - grid.channels / 2 - 0.5) * grid.channelHz,
      highHz: (track.highChannel - grid.channels / 2 - 0.5) * grid.channelHz,
      noiseDensity: track.noise / sampleRateHz,
      peakOverNoise: track.peak,
      faint: track.faint,
      firstSample,
      clippedShare: clipped / Math.max(1, endSample - firstSample - from),
      cutByStart: track.firstStep <= 1,
      cutByEnd: ended && samples - endSample <= grid.stepSamples,
    };
    return [heardBurst({ place, sampleType, bytes })];
  }

  return {
    push(bytes) {
      const bursts: HeardBurst[] = [];
      for (let at = 0; at < bytes.length; ) {
        // No further than the stretch goes, and no more at once than stays in the processor's cache.
        const missing = (stretchSteps - steps) * stepBytes - (history.end - samples * size);
        const count = Math.min(bytes.length - at, missing, Math.max(stepBytes, PIECE_BYTES));
        history.push(bytes.subarray(at, at + count));
        at += count;
        takeSteps();
        if (steps === stretchSteps) bursts.push(...finishStretch(false));
      }
      return bursts;
    },
    end() {
      return steps + stepsBefore > 0 ? finishStretch(true) : [];
    },
    settledSample() {
      return search.settledStep() * grid.stepSamples;
    },
    quiet() {
      return {
        samples,
        clippedSamples,
        steady,
        noisePower: noiseSteps > 0 ? noiseSum / noiseSteps : 0,
        strongest: tracker.strongest(),
        needed: tracker.needed,
      };
    },
  };
}

/** Neighbouring steady channels are one carrier; its place is their centre of power. */
function steadyCarriers(floor: Floor, grid: Grid, samples: number): SteadyCarrier[] {
  const carriers: SteadyCarrier[] = [];
  for (let i = 0; i < floor.steady.length; ) {
    let power = 0;
    let moment = 0;
    let ratio = 0;
    let c = floor.steady[i]!;
    const first = c;
    for (; i < floor.steady.length && floor.steady[i]! - c <= 1; i++) {
      c = floor.steady[i]!;
      const own = floor.level[c]! - floor.around[c]!;
      power += own;
      moment += own * c;
      ratio = Math.max(ratio, floor.level[c]! / floor.around[c]!);
    }
    // Wide elevated stretches are the shape of the receiver's band, not a carrier.
    if (c - first > 8) continue;
    // By Parseval the channels of a carrier of power p add up to p times their number.
    const offsetHz = (moment / power - grid.channels / 2) * grid.channelHz;
    carriers.push({ offsetHz, power: power / grid.channels, overNoise: ratio, samples });
  }
  return carriers;
}
