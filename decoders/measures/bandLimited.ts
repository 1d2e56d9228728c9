import { type Ffts, inverse } from "../signal/fft.ts";

/** Samples with one band left, unmoved in time. */
export interface BandSignal {
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly rateHz: number;
  /** Width that noise was left in. */
  readonly noiseHz: number;
}

/** Of the band's width, on each side: how softly it ends, so that edges do not ring. */
const SLOPE_SHARE = 0.15;
const LEAST_POINTS = 64;

/**
 * The samples with only a band left, by a filter that is even in time: no edge moves.
 *
 * @param iq Interleaved samples. Not modified.
 * @param lowHz, highHz Of the band, from the tuned centre; beyond it the filter falls to nothing over 15 % of its width.
 */
export function bandLimited(iq: Float32Array, rateHz: number, lowHz: number, highHz: number, ffts: Ffts): BandSignal {
  const count = iq.length >> 1;
  const size = 2 ** Math.ceil(Math.log2(Math.max(LEAST_POINTS, count)));
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  for (let n = 0; n < count; n++) {
    re[n] = iq[2 * n]!;
    im[n] = iq[2 * n + 1]!;
  }
  if (lowHz <= -rateHz / 2 && highHz >= rateHz / 2) {
    return { re: re.subarray(0, count), im: im.subarray(0, count), rateHz, noiseHz: rateHz };
  }
  const fft = ffts(size);
  fft.forward(re, im);
  const slopeHz = SLOPE_SHARE * (highHz - lowHz);
  let power = 0;
  for (let k = 0; k < size; k++) {
    const hz = ((k < size / 2 ? k : k - size) * rateHz) / size;
    const outside = Math.max(lowHz - hz, hz - highHz);
    const gain = outside <= 0 ? 1 : outside >= slopeHz ? 0 : 0.5 + 0.5 * Math.cos((Math.PI * outside) / slopeHz);
    power += gain * gain;
    re[k] = re[k]! * gain;
    im[k] = im[k]! * gain;
  }
  inverse(fft, re, im);
  return { re: re.subarray(0, count), im: im.subarray(0, count), rateHz, noiseHz: (power * rateHz) / size };
}
