import type { SampleType } from "../sources.ts";
import { createChanneliser, type Grid, gridFor } from "./channeliser.ts";
import { estimateFloor, type Floor } from "./floor.ts";
import { createHistory } from "./history.ts";
import { bytesPerSample, roundingNoise, toFloats } from "./samples.ts";
import { createTracker, type Track } from "./tracks.ts";

/** A stretch in which something was sent, with its samples. Frequencies are relative to the tuned centre. */
export interface HeardBurst {
  /** Sample indices from the start of the capture; end half open. To about half a millisecond. */
  readonly startSample: number;
  readonly endSample: number;
  readonly lowHz: number;
  readonly highHz: number;
  /** Noise power per hertz, full scale 1. */
  readonly noiseDensity: number;
  /** Strongest power in one channel and step over the noise there, as a ratio. */
  readonly peakOverNoise: number;
  /** Interleaved samples of the burst with a margin on both sides where there is one. */
  readonly iq: Float32Array;
  /** Sample index of `iq[0]`. */
  readonly firstSample: number;
  /** Samples at the end of the scale between start and end, as a share. */
  readonly clippedShare: number;
  readonly cutByStart: boolean;
  readonly cutByEnd: boolean;
}

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
const MARGIN_AFTER_SECONDS = 0.06;
const MOST_CELLS = 2_000_000;
const MOST_HISTORY_BYTES = 96 * 2 ** 20;

/** @param widestHz How far apart the two frequencies of one sender may be. */
export function createEar(sampleType: SampleType, sampleRateHz: number, widestHz: number): Ear {
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
  const history = createHistory(Math.min(keptSteps * stepBytes, mostBytes));
  const channelise = createChanneliser(grid);
  const tracker = createTracker(grid, widestHz);
  const least = Math.max(roundingNoise(sampleType) / 20, 1e-15);

  const pending = new Uint8Array(stepBytes);
  let pendingBytes = 0;
  const iq = new Float32Array(2 * grid.stepSamples);
  let power = new Float32Array(stretchSteps * grid.channels);
  let before = new Float32Array(stretchSteps * grid.channels);
  let stepsBefore = 0;
  let steps = 0;
  let samples = 0;
  let clippedSamples = 0;
  let noiseSum = 0;
  let noiseSteps = 0;
  const steady: SteadyCarrier[] = [];

  function takeStep(): void {
    history.push(pending);
    clippedSamples += toFloats(sampleType, pending, iq);
    samples += grid.stepSamples;
    channelise(iq, power.subarray(steps * grid.channels, (steps + 1) * grid.channels));
    steps++;
    pendingBytes = 0;
  }

  /** The floor of a short last stretch leans on the one before. */
  function floorNow(): Floor {
    const borrowed = Math.min(stepsBefore, stretchSteps - steps);
    const rows = borrowed + steps;
    const all =
      borrowed === 0
        ? power
        : concat(
            before.subarray((stepsBefore - borrowed) * grid.channels, stepsBefore * grid.channels),
            power.subarray(0, steps * grid.channels),
          );
    const settled = rows * grid.stepSeconds >= SETTLED_SECONDS;
    return estimateFloor(all, rows, grid.channels, grid.averages, least, settled);
  }

  function finishStretch(): HeardBurst[] {
    if (steps === 0) return [];
    const floor = floorNow();
    steady.push(...steadyCarriers(floor, grid, steps * grid.stepSamples));
    let mean = 0;
    for (const level of floor.around) mean += level / grid.channels;
    noiseSum += mean * steps;
    noiseSteps += steps;
    const tracks: Track[] = [];
    for (let s = 0; s < steps; s++) {
      tracks.push(...tracker.step(power.subarray(s * grid.channels, (s + 1) * grid.channels), floor.level));
    }
    [before, power] = [power, before];
    stepsBefore = steps;
    steps = 0;
    return tracks.flatMap(toBursts);
  }

  function toBursts(track: Track): HeardBurst[] {
    const startSample = track.firstStep * grid.stepSamples;
    const endSample = track.endStep * grid.stepSamples;
    const oldest = Math.ceil(history.start / size);
    const firstSample = Math.max(oldest, startSample - Math.round(MARGIN_BEFORE_SECONDS * sampleRateHz));
    const lastSample = Math.min(samples, endSample + Math.round(MARGIN_AFTER_SECONDS * sampleRateHz));
    // Only at rates of hundreds of megasamples can a burst have left the history before its end was known.
    if (endSample <= firstSample) return [];
    const bytes = history.copy(firstSample * size, lastSample * size);
    const burstIq = new Float32Array(2 * (lastSample - firstSample));
    toFloats(sampleType, bytes, burstIq);
    const from = Math.max(0, startSample - firstSample);
    const inside = bytes.subarray(from * size, (endSample - firstSample) * size);
    const scratch = new Float32Array((2 * inside.length) / size);
    const clipped = toFloats(sampleType, inside, scratch);
    const burst: HeardBurst = {
      startSample,
      endSample,
      lowHz: (track.lowChannel - grid.channels / 2 - 0.5) * grid.channelHz,
      highHz: (track.highChannel - grid.channels / 2 - 0.5) * grid.channelHz,
      noiseDensity: track.noise / sampleRateHz,
      peakOverNoise: track.peak,
      iq: burstIq,
      firstSample,
      clippedShare: clipped / Math.max(1, endSample - firstSample - from),
      cutByStart: track.firstStep <= 1,
      cutByEnd: false,
    };
    return [burst];
  }

  return {
    push(bytes) {
      const bursts: HeardBurst[] = [];
      for (let at = 0; at < bytes.length; ) {
        const count = Math.min(stepBytes - pendingBytes, bytes.length - at);
        pending.set(bytes.subarray(at, at + count), pendingBytes);
        pendingBytes += count;
        at += count;
        if (pendingBytes < stepBytes) break;
        takeStep();
        if (steps === stretchSteps) bursts.push(...finishStretch());
      }
      return bursts;
    },
    end() {
      const bursts = finishStretch();
      // What the tracker still holds may run on to the very end.
      const last = tracker.end().flatMap(toBursts);
      return [
        ...bursts,
        ...last.map((burst) => ({ ...burst, cutByEnd: samples - burst.endSample <= grid.stepSamples })),
      ];
    },
    settledSample() {
      return tracker.settledStep() * grid.stepSamples;
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

function concat(a: Float32Array, b: Float32Array): Float32Array {
  const out = new Float32Array(a.length + b.length);
  out.set(a);
  out.set(b, a.length);
  return out;
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
