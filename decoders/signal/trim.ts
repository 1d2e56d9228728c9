import { clearOutside } from "./band.ts";
import type { Baseband } from "./baseband.ts";
import { type Ffts, inverse } from "./fft.ts";

/** Time in which the level is averaged before it is compared: a few symbols. */
const BLOCK_SECONDS = 0.0003;
/** A block this far up from the noise to the burst's level belongs to it. */
const SHARE = 0.3;

/** Silences at least this long part what may be two senders, though they do not end a burst. */
const PART_SECONDS = 0.0009;

/** The level of a burst in its own band, block by block, and what is still noise. */
interface Blocks {
  readonly power: Float64Array;
  readonly size: number;
  readonly noise: number;
  readonly least: number;
}

/** A stretch of a baseband, half open, in elements. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/**
 * Where a burst really begins and ends, to about a third of a millisecond: the tracker's steps are generous.
 *
 * @param stretch What may belong to it.
 * @param lowHz Its band, relative to the baseband's zero.
 * @param noiseDensity Noise power per hertz.
 */
export function trimBurst(
  base: Baseband,
  { from, to }: Stretch,
  lowHz: number,
  highHz: number,
  noiseDensity: number,
  ffts: Ffts,
): Stretch {
  const blocks = blocksOf(base, { from, to }, lowHz, highHz, noiseDensity, ffts);
  if (!blocks) return { from, to };
  const { power, noise, least, size } = blocks;
  let first = 0;
  let last = power.length - 1;
  // A single block over the line may be noise; its neighbour must not be far from it.
  const belongs = (b: number, towards: number) =>
    power[b]! > least && (power[b + towards] ?? 0) > noise + (least - noise) / 2;
  while (first < last && !belongs(first, 1)) first++;
  while (last > first && !belongs(last, -1)) last--;
  if (last - first < 3) return { from, to };
  return { from: from + first * size, to: from + (last + 1) * size };
}

/** The parts of a burst between its silences, longest silences or not; one part where there are none. */
export function partsOf(
  base: Baseband,
  { from, to }: Stretch,
  lowHz: number,
  highHz: number,
  noiseDensity: number,
  ffts: Ffts,
): Stretch[] {
  const blocks = blocksOf(base, { from, to }, lowHz, highHz, noiseDensity, ffts);
  if (!blocks) return [{ from, to }];
  const { power, least, size } = blocks;
  const quietBlocks = Math.max(2, Math.round((PART_SECONDS * base.rateHz) / size));
  const parts: Stretch[] = [];
  let start = -1;
  let quiet = 0;
  for (let b = 0; b < power.length; b++) {
    if (power[b]! > least) {
      if (start < 0) start = b;
      quiet = 0;
    } else if (start >= 0 && ++quiet === quietBlocks) {
      parts.push({ from: from + start * size, to: from + (b + 1 - quiet) * size });
      start = -1;
    }
  }
  if (start >= 0) parts.push({ from: from + start * size, to });
  return parts;
}

function blocksOf(
  base: Baseband,
  { from, to }: Stretch,
  lowHz: number,
  highHz: number,
  noiseDensity: number,
  ffts: Ffts,
): Blocks | undefined {
  const count = to - from;
  const block = Math.max(4, Math.round(BLOCK_SECONDS * base.rateHz));
  const blocks = Math.floor(count / block);
  if (blocks < 6 || count > 2 ** 18) return undefined;
  const size = 2 ** Math.ceil(Math.log2(count));
  const fft = ffts(size);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(base.re.subarray(from, to));
  im.set(base.im.subarray(from, to));
  fft.forward(re, im);
  const keptHz = clearOutside(re, im, base.rateHz, lowHz, highHz);
  inverse(fft, re, im);
  const power = new Float64Array(blocks);
  for (let b = 0; b < blocks; b++) {
    for (let i = b * block; i < (b + 1) * block; i++) power[b] = power[b]! + (re[i]! ** 2 + im[i]! ** 2) / block;
  }
  const noise = noiseDensity * keptHz;
  const strong = power.slice().sort()[Math.floor(0.75 * blocks)]!;
  const least = noise + SHARE * Math.max(0, strong - noise);
  return { power, size: block, noise, least };
}
