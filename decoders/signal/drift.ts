import type { Baseband } from "./baseband.ts";
import { createFft } from "./fft.ts";
import type { Stretch } from "./trim.ts";

const FARTHEST_DRIFT_HZ = 15_000;
/** A shift has to make the spectra so much more alike: noise comes to 1.03, telegrams with 10 kHz of drift to 1.06 to 2.6. */
const CLEARLY_MORE = 1.05;

/**
 * How far a burst's carrier moves from its beginning to its end, in hertz: by how much the spectrum of its last third has
 * to be shifted to be the most like that of its first; 0 where no shift makes them clearly more alike.
 *
 * @param widthHz What the spectra are smoothed by: about a symbol rate, so that the contents matter little.
 */
export function measureDrift(base: Baseband, { from, to }: Stretch, widthHz: number): number {
  const count = Math.floor((to - from) / 3);
  if (count < 32) return 0;
  const size = 2 ** Math.ceil(Math.log2(count));
  const binHz = base.rateHz / size;
  const before = spectrumOf(base, from, count, size, widthHz / binHz);
  const after = spectrumOf(base, to - count, count, size, widthHz / binHz);
  const most = Math.min(size >> 2, Math.ceil((FARTHEST_DRIFT_HZ * 2) / 3 / binHz));
  const likeness = (lag: number) => {
    let sum = 0;
    for (let k = most; k < size - most; k++) sum += before[k]! * after[k + lag]!;
    return sum;
  };
  let best = { lag: 0, value: CLEARLY_MORE * likeness(0) };
  for (let lag = -most; lag <= most; lag++) {
    const value = likeness(lag);
    if (value > best.value) best = { lag, value };
  }
  // The middles of the two thirds lie two thirds apart.
  return 1.5 * best.lag * binHz;
}

/** The same baseband with a drift taken off, frequencies staying what they are in the middle of a stretch of it. */
export function straightened(base: Baseband, { from, to }: Stretch, driftHz: number): Baseband {
  const count = base.re.length;
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  const middle = (from + to) / 2;
  const bend = (-Math.PI * driftHz) / (to - from) / base.rateHz;
  for (let i = 0; i < count; i++) {
    const turn = bend * (i - middle) * (i - middle);
    const c = Math.cos(turn);
    const s = Math.sin(turn);
    re[i] = base.re[i]! * c - base.im[i]! * s;
    im[i] = base.re[i]! * s + base.im[i]! * c;
  }
  return { ...base, re, im };
}

/** Root power over its median, lowest frequency first, smoothed over so many bins. */
function spectrumOf(base: Baseband, from: number, count: number, size: number, width: number): Float64Array {
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(base.re.subarray(from, from + count));
  im.set(base.im.subarray(from, from + count));
  createFft(size).forward(re, im);
  const sums = new Float64Array(size + 1);
  for (let k = 0; k < size; k++) {
    const bin = (k + size / 2) % size;
    sums[k + 1] = sums[k]! + re[bin]! ** 2 + im[bin]! ** 2;
  }
  const half = Math.max(1, Math.round(width / 2));
  const out = new Float64Array(size);
  for (let k = 0; k < size; k++) {
    const low = Math.max(0, k - half);
    const high = Math.min(size, k + half + 1);
    out[k] = (sums[high]! - sums[low]!) / (high - low);
  }
  const mean = sums[size]! / size;
  for (let k = 0; k < size; k++) out[k] = Math.max(0, out[k]! - mean);
  return out;
}
