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
  mix(iq, (-2 * Math.PI * centreHz) / sampleRateHz, mixedRe, mixedIm);
  const shape = { rateHz: sampleRateHz / decimation, centreHz, originSample: firstSample, decimation };
  if (decimation === 1) return { re: mixedRe, im: mixedIm, ...shape };
  const taps = lowPass(decimation);
  return { re: thinned(mixedRe, taps, decimation), im: thinned(mixedIm, taps, decimation), ...shape };
}

/** Samples between two angles that are taken anew: the running product drifts. */
const ANGLE_EVERY = 1024;

/** Turns sample n by n·turn radians. */
function mix(iq: Float32Array, turn: number, re: Float64Array, im: Float64Array): void {
  const count = re.length;
  // Every other sample has a rotor of its own, so that one product need not wait for the other.
  const stepCos = Math.cos(2 * turn);
  const stepSin = Math.sin(2 * turn);
  for (let from = 0; from < count; from += ANGLE_EVERY) {
    const to = Math.min(count - 1, from + ANGLE_EVERY);
    let c0 = Math.cos(turn * from);
    let s0 = Math.sin(turn * from);
    let c1 = Math.cos(turn * (from + 1));
    let s1 = Math.sin(turn * (from + 1));
    for (let i = from; i < to; i += 2) {
      const a0 = iq[2 * i]!;
      const b0 = iq[2 * i + 1]!;
      const a1 = iq[2 * i + 2]!;
      const b1 = iq[2 * i + 3]!;
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
  }
  if (count % 2 === 1) {
    const last = count - 1;
    const c = Math.cos(turn * last);
    const s = Math.sin(turn * last);
    re[last] = iq[2 * last]! * c - iq[2 * last + 1]! * s;
    im[last] = iq[2 * last]! * s + iq[2 * last + 1]! * c;
  }
}

/** Every `decimation`th value through a symmetric filter; there is nothing before the first and behind the last. */
function thinned(values: Float64Array, taps: Float64Array, decimation: number): Float64Array {
  const count = values.length;
  const half = (taps.length - 1) / 2;
  const out = new Float64Array(Math.floor((count - 1) / decimation) + 1);
  for (let n = 0; n < out.length; n++) {
    const middle = n * decimation;
    let sum = taps[half]! * values[middle]!;
    if (middle >= half && middle + half < count) {
      // An even number of taps on each side.
      let other = 0;
      for (let k = 1; k < half; k += 2) {
        sum += taps[half + k]! * (values[middle + k]! + values[middle - k]!);
        other += taps[half + k + 1]! * (values[middle + k + 1]! + values[middle - k - 1]!);
      }
      sum += other;
    } else {
      for (let k = 1; k <= half; k++) sum += taps[half + k]! * ((values[middle + k] ?? 0) + (values[middle - k] ?? 0));
    }
    out[n] = sum;
  }
  return out;
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
