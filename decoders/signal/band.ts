import type { Baseband } from "./baseband.ts";
import { createFft, inverse } from "./fft.ts";

/** Longer bursts are left as they are: the transform would not fit the time of one burst. */
const MOST_POINTS = 2 ** 18;

/** The same baseband with everything outside a band taken away, so that a strong neighbour does not leak into its filters. */
export function keepBand(base: Baseband, lowHz: number, highHz: number): Baseband {
  const count = base.re.length;
  if (count > MOST_POINTS || (lowHz <= -base.rateHz / 2 && highHz >= base.rateHz / 2)) return base;
  const size = 2 ** Math.max(1, Math.ceil(Math.log2(count)));
  const fft = createFft(size);
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
  let kept = 0;
  for (let k = 0; k < size; k++) {
    const hz = ((k < size / 2 ? k : k - size) * rateHz) / size;
    if (hz >= lowHz && hz <= highHz) kept++;
    else {
      re[k] = 0;
      im[k] = 0;
    }
  }
  return (kept * rateHz) / size;
}
