import type { Baseband } from "./baseband.ts";
import { type Ffts, inverse } from "./fft.ts";

/** Longer bursts are left as they are: the transform would not fit the time of one burst. */
const MOST_POINTS = 2 ** 18;

/** The same baseband with everything outside a band taken away, so that a strong neighbour does not leak into its filters. */
export function keepBand(base: Baseband, lowHz: number, highHz: number, ffts: Ffts): Baseband {
  const count = base.re.length;
  if (count > MOST_POINTS || (lowHz <= -base.rateHz / 2 && highHz >= base.rateHz / 2)) return base;
  const size = 2 ** Math.max(1, Math.ceil(Math.log2(count)));
  const fft = ffts(size);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(base.re);
  im.set(base.im);
  fft.forward(re, im);
  clearOutside(re, im, base.rateHz, lowHz, highHz);
  inverse(fft, re, im);
  return { ...base, re: re.subarray(0, count), im: im.subarray(0, count) };
}

/** Clears the bins of a transform outside a band, in place. Returns the width in hertz that is left. */
export function clearOutside(
  re: Float64Array,
  im: Float64Array,
  rateHz: number,
  lowHz: number,
  highHz: number,
): number {
  const size = re.length;
  const lowest = Math.max(-size / 2, Math.ceil((lowHz * size) / rateHz));
  const highest = Math.min(size / 2 - 1, Math.floor((highHz * size) / rateHz));
  const clear = (from: number, to: number) => {
    if (to <= from) return;
    re.fill(0, from, to);
    im.fill(0, from, to);
  };
  // Element k stands for frequency k, and from the middle on for k − size.
  clear(Math.max(0, highest + 1), Math.min(size, size + lowest));
  if (lowest > 0) clear(0, lowest);
  if (highest < -1) clear(size + highest + 1, size);
  return (Math.max(0, highest - lowest + 1) * rateHz) / size;
}
