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
  const count = iq.length >> 1;
  const mixedRe = new Float64Array(count);
  const mixedIm = new Float64Array(count);
  const turn = (-2 * Math.PI * centreHz) / sampleRateHz;
  const turnCos = Math.cos(turn);
  const turnSin = Math.sin(turn);
  let c = 1;
  let s = 0;
  for (let i = 0; i < count; i++) {
    if ((i & 1023) === 0) {
      // The running product drifts; begin anew from the angle now and then.
      c = Math.cos(turn * i);
      s = Math.sin(turn * i);
    }
    const a = iq[2 * i]!;
    const b = iq[2 * i + 1]!;
    mixedRe[i] = a * c - b * s;
    mixedIm[i] = a * s + b * c;
    const next = c * turnCos - s * turnSin;
    s = c * turnSin + s * turnCos;
    c = next;
  }
  if (decimation === 1) {
    return { re: mixedRe, im: mixedIm, rateHz: sampleRateHz, centreHz, originSample: firstSample, decimation };
  }
  const taps = lowPass(decimation);
  const half = (taps.length - 1) / 2;
  const length = Math.floor((count - 1) / decimation) + 1;
  const re = new Float64Array(length);
  const im = new Float64Array(length);
  for (let n = 0; n < length; n++) {
    const middle = n * decimation;
    const from = Math.max(0, half - middle);
    const to = Math.min(taps.length, count - middle + half);
    let sumRe = 0;
    let sumIm = 0;
    for (let k = from, i = middle - half + from; k < to; k++, i++) {
      const t = taps[k]!;
      sumRe += t * mixedRe[i]!;
      sumIm += t * mixedIm[i]!;
    }
    re[n] = sumRe;
    im[n] = sumIm;
  }
  return { re, im, rateHz: sampleRateHz / decimation, centreHz, originSample: firstSample, decimation };
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
