/** The noise of one stretch of steps, channel by channel. */
export interface Floor {
  /** Mean noise power per channel. */
  readonly level: Float32Array;
  /** Channels whose level stands out from their neighbours all the time: a carrier without keying. */
  readonly steady: readonly number[];
  /** What the neighbours of each channel have. */
  readonly around: Float32Array;
}

/** A channel is steady when its quiet level lies this much over its neighbours'. */
const STEADY_RATIO = 4;
const QUIET_SHARE = 0.25;
/** Neighbours on each side that tell a channel's usual level. */
const REACH = 24;

/** Which of so many steps, the quietest being 0, tells the noise: bursts in up to three quarters do not lift it. */
export function quietRank(steps: number): number {
  return Math.floor(QUIET_SHARE * (steps - 1));
}

/**
 * Estimates the noise of each channel.
 *
 * @param quiet Power of each channel in the step of `quietRank`.
 * @param averages Transforms averaged in each value: tells how far the quiet quarter lies under the mean.
 * @param least No level is lower than this: rounding leaves at least that much.
 * @param settled False where the stretch is too short to tell a steady carrier from a burst that fills it.
 */
export function estimateFloor(quiet: Float32Array, averages: number, least: number, settled: boolean): Floor {
  const channels = quiet.length;
  const toMean = 1 / gammaQuantileOverMean(averages, QUIET_Z);
  const level = quiet.map((power) => Math.max(least, power * toMean));
  const around = localMedian(level, Math.min(REACH, (channels >> 1) - 1));
  const steady: number[] = [];
  for (let c = 0; c < channels; c++) {
    if (level[c]! <= STEADY_RATIO * around[c]!) continue;
    if (settled) steady.push(c);
    else level[c] = around[c]!;
  }
  return { level, steady, around };
}

/** Standard normal quantile of the quiet share, 0.25. */
const QUIET_Z = -0.6745;

/**
 * Quantile of a mean of `shape` exponentials over its expectation.
 *
 * @param z Standard normal quantile of the wanted probability.
 * @source Wilson and Hilferty 1931, cube-root approximation of chi-square (from memory).
 */
export function gammaQuantileOverMean(shape: number, z: number): number {
  // For a single exponential the quarter quantile is −ln 0.75; the cube root is 3 % low there, which is harmless.
  const a = 1 / (9 * shape);
  return Math.max(1e-3, (1 - a + z * Math.sqrt(a)) ** 3);
}

function localMedian(values: Float32Array, reach: number): Float32Array {
  const out = new Float32Array(values.length);
  const near = values.slice(0, 2 * reach + 1).sort();
  let first = 0;
  for (let c = 0; c < values.length; c++) {
    // At the band's edges the window is shifted inwards, so that it always holds as many neighbours.
    const wanted = Math.min(Math.max(0, c - reach), values.length - near.length);
    for (; first < wanted; first++) replace(near, values[first]!, values[first + near.length]!);
    out[c] = near[reach]!;
  }
  return out;
}

/** Puts another value into sorted ones in the place of one of them, and keeps them sorted. */
function replace(sorted: Float32Array, gone: number, come: number): void {
  let at = sorted.indexOf(gone);
  for (; at > 0 && sorted[at - 1]! > come; at--) sorted[at] = sorted[at - 1]!;
  for (; at + 1 < sorted.length && sorted[at + 1]! < come; at++) sorted[at] = sorted[at + 1]!;
  sorted[at] = come;
}
