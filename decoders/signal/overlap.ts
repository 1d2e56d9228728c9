import type { Baseband } from "./baseband.ts";
import type { Stretch } from "./trim.ts";

/** Time over which power is averaged. */
const BLOCK_SECONDS = 0.0005;
/** What a subtracted sender may leave of itself, as a share of its power: its edges are not quite as they were modelled. */
const LEAVINGS = 0.04;
/** A sender that was really taken off leaves no more than this share, even beside another as strong. */
const UNDERSTOOD = 0.65;
/** Over the noise by this much, and for so long, and a second sender is there. */
const OVER_NOISE = 1.5;
const LEAST_SECONDS = 0.003;

/** Where a burst's level rises and falls again, or goes on, by at least so much and so clearly. */
const LEAST_STEP_DB = 2;
const CLEAR = 8;
/** Of its step, so much is there at once: a level that comes and goes is one sender's, as from a wheel that turns. */
const AT_ONCE = 0.6;
/** A level is told by this share of the samples in a block: ASK is off for part of the time. */
const LEVEL_SHARE = 0.85;

/**
 * Where somebody else still sends after a sender's signal was taken off; `undefined`: nobody.
 *
 * @param left The baseband without that signal, and `before` with it.
 * @param stretch Where it was taken off.
 * @param noise Power of noise in an element.
 */
export function leftOver(left: Baseband, before: Baseband, stretch: Stretch, noise: number): Stretch | undefined {
  // What did not become much less was not understood: such as a carrier that drifts.
  if (meanPower(left, stretch.from, stretch.to) > UNDERSTOOD * meanPower(before, stretch.from, stretch.to))
    return undefined;
  const size = Math.max(4, Math.round(BLOCK_SECONDS * left.rateHz));
  const least = Math.ceil((LEAST_SECONDS * left.rateHz) / size);
  let from: number | undefined;
  let best: Stretch | undefined;
  for (let at = stretch.from; at + size <= stretch.to; at += size) {
    const power = meanPower(left, at, at + size);
    const over = power > OVER_NOISE * noise && power > LEAVINGS * meanPower(before, at, at + size);
    if (over) from ??= at;
    if (over && at + 2 * size <= stretch.to) continue;
    const to = over ? at + size : at;
    if (from !== undefined && to - from >= least * size && to - from > (best ? best.to - best.from : 0)) {
      best = { from, to };
    }
    from = undefined;
  }
  return best;
}

/**
 * Element from which on the level of a stretch is higher than before, as where a second sender begins; `undefined` where
 * it is the same throughout. The second one may end before the first.
 */
export function riseWithin(base: Baseband, { from, to }: Stretch): number | undefined {
  const size = Math.max(8, Math.round(BLOCK_SECONDS * base.rateHz));
  const count = Math.floor((to - from) / size);
  if (count < 12) return undefined;
  const levels = new Float64Array(count);
  const powers = new Float64Array(size);
  for (let b = 0; b < count; b++) {
    for (let i = 0; i < size; i++) {
      const n = from + b * size + i;
      powers[i] = base.re[n]! ** 2 + base.im[n]! ** 2;
    }
    levels[b] = 10 * Math.log10(Math.max(1e-30, powers.sort()[Math.floor(LEVEL_SHARE * size)]!));
  }
  const sums = new Float64Array(count + 1);
  const squares = new Float64Array(count + 1);
  for (let b = 0; b < count; b++) {
    sums[b + 1] = sums[b]! + levels[b]!;
    squares[b + 1] = squares[b]! + levels[b]! ** 2;
  }
  const meanOf = (a: number, b: number) => (sums[b]! - sums[a]!) / (b - a);
  let best = { clear: 0, at: -1 };
  // The first and the last block may be cut.
  for (let first = 3; first < count - 3; first++) {
    for (let last = first + 4; last < count; last++) {
      const inside = last - first;
      const outside = count - inside;
      const meanInside = meanOf(first, last);
      const meanOutside = (sums[count]! - sums[last]! + sums[first]!) / outside;
      const step = meanInside - meanOutside;
      if (step < LEAST_STEP_DB || meanOf(first, first + 2) - meanOf(first - 3, first - 1) < AT_ONCE * step) continue;
      const spread = squares[count]! - inside * meanInside ** 2 - outside * meanOutside ** 2;
      const deviation = Math.sqrt(Math.max(1e-6, spread / (count - 2)));
      const clear = (step * Math.sqrt((inside * outside) / count)) / deviation;
      if (clear > best.clear) best = { clear, at: from + first * size };
    }
  }
  return best.clear >= CLEAR ? best.at : undefined;
}

function meanPower({ re, im }: Baseband, from: number, to: number): number {
  let sum = 0;
  for (let n = from; n < to; n++) sum += re[n]! ** 2 + im[n]! ** 2;
  return sum / (to - from);
}
