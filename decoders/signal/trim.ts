/** Time in which the level is averaged before it is compared: a few symbols. */
const BLOCK_SECONDS = 0.0003;
/** A block this far up from the noise to the burst's level belongs to it. */
const SHARE = 0.3;

/** Silences at least this long part what may be two senders, though they do not end a burst. */
const PART_SECONDS = 0.0009;

/** A stretch of a baseband, half open, in elements. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** How far a burst reaches. */
export interface Extent {
  readonly whole: Stretch;
  /** Between its silences; the whole itself where there are none. */
  readonly parts: readonly Stretch[];
}

/**
 * Where a burst really begins and ends, to about a third of a millisecond: the tracker's steps are generous.
 *
 * @param re What may belong to it, with only its own band left; and `im`. Not modified.
 * @param stretch Where that lies in the baseband.
 * @param noise Power of the noise that is left with it.
 */
export function trimBurst(
  re: Float64Array,
  im: Float64Array,
  { from, to }: Stretch,
  rateHz: number,
  noise: number,
): Extent {
  const size = Math.max(4, Math.round(BLOCK_SECONDS * rateHz));
  const count = Math.floor((to - from) / size);
  if (count < 6) return { whole: { from, to }, parts: [{ from, to }] };
  const power = blockPowers(re, im, size, count);
  const least = leastPower(power, noise);
  let first = 0;
  let last = count - 1;
  // A single block over the line may be noise; its neighbour must not be far from it.
  const belongs = (b: number, towards: number) =>
    power[b]! > least && (power[b + towards] ?? 0) > noise + (least - noise) / 2;
  while (first < last && !belongs(first, 1)) first++;
  while (last > first && !belongs(last, -1)) last--;
  const trimmed = last - first >= 3;
  const inside = trimmed ? power.subarray(first, last + 1) : power;
  const whole = trimmed ? { from: from + first * size, to: from + (last + 1) * size } : { from, to };
  const quietBlocks = Math.max(2, Math.round((PART_SECONDS * rateHz) / size));
  return { whole, parts: partsOf(inside, leastPower(inside, noise), quietBlocks, size, whole) };
}

function blockPowers(re: Float64Array, im: Float64Array, size: number, count: number): Float64Array {
  const power = new Float64Array(count);
  for (let b = 0; b < count; b++) {
    let sum = 0;
    const end = (b + 1) * size;
    for (let i = b * size; i < end; i++) sum += re[i]! * re[i]! + im[i]! * im[i]!;
    power[b] = sum / size;
  }
  return power;
}

/** What a block needs to belong to the burst. */
function leastPower(power: Float64Array, noise: number): number {
  const strong = power.slice().sort()[Math.floor(0.75 * power.length)]!;
  return noise + SHARE * Math.max(0, strong - noise);
}

function partsOf(power: Float64Array, least: number, quietBlocks: number, size: number, whole: Stretch): Stretch[] {
  const parts: Stretch[] = [];
  let start = -1;
  let quiet = 0;
  for (let b = 0; b < power.length; b++) {
    if (power[b]! > least) {
      if (start < 0) start = b;
      quiet = 0;
    } else if (start >= 0 && ++quiet === quietBlocks) {
      parts.push({ from: whole.from + start * size, to: whole.from + (b + 1 - quiet) * size });
      start = -1;
    }
  }
  if (start >= 0) parts.push({ from: whole.from + start * size, to: whole.to });
  return parts;
}
