/** A burst mixed to its own centre and thinned to a rate that its keying needs. */
export interface Baseband {
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly rateHz: number;
  /** Offset of this baseband's zero from the tuned centre. */
  readonly centreHz: number;
  /** Sample index, in the capture, of element 0; may lie between samples. */
  readonly originSample: number;
  /** Samples of the capture per element. */
  readonly decimation: number;
}

/** Samples a symbol that the fastest layout is left. */
const SAMPLES_A_SYMBOL = 6;
/** Taps on each side of the low-pass per decimated sample. */
const REACH = 4;

/**
 * Mixes down and decimates.
 *
 * @param iq Interleaved samples. Not modified.
 * @param firstSample Sample index of `iq[0]` in the capture.
 * @param centreHz Frequency that becomes zero, relative to the tuned centre.
 * @param symbolRate The fastest that may be looked for.
 * @param leastHz Samples a second that are to be left at least.
 */
export function toBaseband(
  iq: Float32Array,
  firstSample: number,
  sampleRateHz: number,
  centreHz: number,
  symbolRate: number,
  leastHz: number,
): Baseband {
  const wantedHz = Math.max(leastHz, SAMPLES_A_SYMBOL * symbolRate);
  const decimation = Math.max(1, Math.floor(sampleRateHz / wantedHz));
  const turn = (-2 * Math.PI * centreHz) / sampleRateHz;
  const taps = decimation === 1 ? Float64Array.of(1) : lowPass(decimation);
  const half = (taps.length - 1) / 2;
  const length = Math.floor(((iq.length >> 1) - 1) / decimation) + 1;
  const re = new Float64Array(length);
  const im = new Float64Array(length);
  // A piece at a time, which stays in the processor's cache.
  const piece = Math.max(1, Math.floor(PIECE_SAMPLES / decimation));
  const mixedRe = new Float64Array((piece - 1) * decimation + taps.length);
  const mixedIm = new Float64Array(mixedRe.length);
  for (let from = 0; from < length; from += piece) {
    const to = Math.min(length, from + piece);
    mix(iq, from * decimation - half, turn, mixedRe, mixedIm);
    thin(mixedRe, taps, decimation, re.subarray(from, to));
    thin(mixedIm, taps, decimation, im.subarray(from, to));
  }
  return { re, im, rateHz: sampleRateHz / decimation, centreHz, originSample: firstSample, decimation };
}

/** Samples that are mixed at once; also how far a running product of the angle may drift. */
const PIECE_SAMPLES = 1024;

/** Turns sample n by n·turn radians, n from `first` on, for as many as there is room for; 0 where there is none. */
function mix(iq: Float32Array, first: number, turn: number, re: Float64Array, im: Float64Array): void {
  const begin = Math.min(re.length, Math.max(0, -first));
  const end = Math.max(begin, Math.min(re.length, (iq.length >> 1) - first));
  re.fill(0, 0, begin).fill(0, end);
  im.fill(0, 0, begin).fill(0, end);
  // Every other sample has a rotor of its own, so that one product need not wait for the other.
  const start = turn * (first + begin);
  const stepCos = Math.cos(2 * turn);
  const stepSin = Math.sin(2 * turn);
  let c0 = Math.cos(start);
  let s0 = Math.sin(start);
  let c1 = Math.cos(start + turn);
  let s1 = Math.sin(start + turn);
  let at = 2 * (first + begin);
  let i = begin;
  for (; i + 1 < end; i += 2, at += 4) {
    const a0 = iq[at]!;
    const b0 = iq[at + 1]!;
    const a1 = iq[at + 2]!;
    const b1 = iq[at + 3]!;
    re[i] = a0 * c0 - b0 * s0;
    im[i] = a0 * s0 + b0 * c0;
    re[i + 1] = a1 * c1 - b1 * s1;
    im[i + 1] = a1 * s1 + b1 * c1;
    const next0 = c0 * stepCos - s0 * stepSin;
    const next1 = c1 * stepCos - s1 * stepSin;
    s0 = c0 * stepSin + s0 * stepCos;
    s1 = c1 * stepSin + s1 * stepCos;
    c0 = next0;
    c1 = next1;
  }
  if (i < end) {
    re[i] = iq[at]! * c0 - iq[at + 1]! * s0;
    im[i] = iq[at]! * s0 + iq[at + 1]! * c0;
  }
}

/** Every `decimation`th value through a symmetric filter, the first one when it is filled. */
function thin(values: Float64Array, taps: Float64Array, decimation: number, out: Float64Array): void {
  const half = (taps.length - 1) / 2;
  for (let n = 0, middle = half; n < out.length; n++, middle += decimation) {
    let sum = taps[half]! * values[middle]!;
    let other = 0;
    // An even number of taps on each side.
    for (let k = 1; k < half; k += 2) {
      sum += taps[half + k]! * (values[middle + k]! + values[middle - k]!);
      other += taps[half + k + 1]! * (values[middle + k + 1]! + values[middle - k - 1]!);
    }
    out[n] = sum + other;
  }
}

/** A windowed sinc, unit gain at zero, half gain at 0.4 of the decimated rate. */
function lowPass(decimation: number): Float64Array {
  const half = REACH * decimation;
  const taps = new Float64Array(2 * half + 1);
  const cutoff = 0.8 / decimation;
  let sum = 0;
  for (let i = -half; i <= half; i++) {
    const x = i * cutoff;
    const sinc = x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
    const window = 0.54 + 0.46 * Math.cos((Math.PI * i) / half);
    taps[i + half] = sinc * window;
    sum += sinc * window;
  }
  for (let i = 0; i < taps.length; i++) taps[i] = taps[i]! / sum;
  return taps;
}
