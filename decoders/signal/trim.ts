import type { Baseband } from "./baseband.ts";
import { createFft, inverse } from "./fft.ts";

/** Time in which the level is averaged before it is compared: a few symbols. */
const BLOCK_SECONDS = 0.0003;
/** A block this far up from the noise to the burst's level belongs to it. */
const SHARE = 0.3;

/**
 * Where a burst really begins and ends, to about a third of a millisecond: the tracker's steps are generous.
 *
 * @param from First element that may belong to it. @param to Half open.
 * @param lowHz Its band, relative to the baseband's zero.
 * @param noiseDensity Noise power per hertz.
 */
export function trimBurst(
  base: Baseband,
  from: number,
  to: number,
  lowHz: number,
  highHz: number,
  noiseDensity: number,
): { from: number; to: number } {
  const count = to - from;
  const block = Math.max(4, Math.round(BLOCK_SECONDS * base.rateHz));
  const blocks = Math.floor(count / block);
  if (blocks < 6 || count > 2 ** 18) return { from, to };
  const size = 2 ** Math.ceil(Math.log2(count));
  const fft = createFft(size);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(base.re.subarray(from, to));
  im.set(base.im.subarray(from, to));
  fft.forward(re, im);
  let kept = 0;
  for (let k = 0; k < size; k++) {
    const hz = ((k < size / 2 ? k : k - size) * base.rateHz) / size;
    if (hz >= lowHz && hz <= highHz) kept++;
    else {
      re[k] = 0;
      im[k] = 0;
    }
  }
  inverse(fft, re, im);
  const power = new Float64Array(blocks);
  for (let b = 0; b < blocks; b++) {
    for (let i = b * block; i < (b + 1) * block; i++) power[b] = power[b]! + (re[i]! ** 2 + im[i]! ** 2) / block;
  }
  const noise = (noiseDensity * kept * base.rateHz) / size;
  const strong = power.slice().sort()[Math.floor(0.75 * blocks)]!;
  const least = noise + SHARE * Math.max(0, strong - noise);
  let first = 0;
  let last = blocks - 1;
  // A single block over the line may be noise; its neighbour must not be far from it.
  const belongs = (b: number, towards: number) => power[b]! > least && (power[b + towards] ?? 0) > noise + (least - noise) / 2;
  while (first < last && !belongs(first, 1)) first++;
  while (last > first && !belongs(last, -1)) last--;
  if (last - first < 3) return { from, to };
  return { from: from + first * block, to: from + (last + 1) * block };
}
