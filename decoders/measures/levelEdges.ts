import type { Modulation } from "../records.ts";
import { type Levels, twoLevels } from "../signal/keying.ts";
import type { BandSignal } from "./bandLimited.ts";
import type { Edge, EdgeKind } from "./edges.ts";
import { averaged, crossingsOf, meanBetween, oddWidth } from "./smoothing.ts";

/** A level belongs to something sent when it is this far over the noise's root mean square. */
const CLEAR_LEVEL = 2;
/** An edge's upper level is at least so many times the lower one. */
const LEAST_STEP = 1.6;
/** Of all samples: when fewer are on, the two levels are not told by all of them together. */
const SELDOM_SHARE = 0.3;
/** And what is seldom on has to be so many times the noise's root mean square: peaks of noise are seldom too. */
const SURE_LEVEL = 3;
/** A silence shorter than this, or than six symbols, does not end a burst. */
const SILENCE_SECONDS = 0.003;
const SILENCE_SYMBOLS = 6;
/** Of a symbol: what a rough look averages over, and how much of it on each side tells a level. */
const ROUGH_SHARE = 0.5;
const MOST_ROUGH = 101;
const SIDE_SHARE = 0.75;
/** Of half the distance of the two levels: how far past the middle the rough look has to get. */
const CLEAR_SHARE = 0.4;
const ROUNDS = 3;
/** Symbols to both sides that tell the carrier's frequency at an edge. */
const TURN_SYMBOLS = 10;
/** Of the level, what is left of it where the samples are added up with their phases: more, and it is one carrier. */
const STILL_SHARE = 0.7;
/** Samples between two places that are tried. */
const FINENESS = 0.05;

export function levelsOf({ re, im }: BandSignal): Float64Array {
  const out = new Float64Array(re.length);
  for (let i = 0; i < out.length; i++) out[i] = Math.sqrt(re[i]! * re[i]! + im[i]! * im[i]!);
  return out;
}

/**
 * Where the level steps up or down: found on an average over half a symbol, then placed where a step as sharp as the band
 * lets it be fits best, by least squares; its two levels are the means on both sides.
 *
 * @param symbol Samples a symbol, roughly.
 * @param noise Root mean square of the noise in the band.
 * @param modulation Where it is known.
 */
export function levelEdges(
  signal: BandSignal,
  levels: Float64Array,
  symbol: number,
  noise: number,
  modulation: Modulation | undefined,
): Edge[] {
  const { rateHz, noiseHz } = signal;
  const rough = averaged(levels, oddWidth(Math.min(MOST_ROUGH, ROUGH_SHARE * symbol)));
  const { middle, half } = onAndOff(rough, noise);
  if (middle + half < Math.max(CLEAR_LEVEL * noise, LEAST_STEP * (middle - half))) return [];
  const turns = turnsOf(signal, levels, middle);
  const crossings = crossingsOf(rough, middle, CLEAR_SHARE * half);
  const silence = Math.max(SILENCE_SECONDS * rateHz, SILENCE_SYMBOLS * symbol);
  // Nothing in a band of this width steps any faster.
  const width = rateHz / noiseHz;
  return crossings.map(({ at, rises }, k): Edge => {
    const before = at - (crossings[k - 1]?.at ?? Number.NEGATIVE_INFINITY);
    const after = (crossings[k + 1]?.at ?? Number.POSITIVE_INFINITY) - at;
    const side = Math.max(2, SIDE_SHARE * Math.min(symbol, before, after));
    const turn = turnAt(turns, at, TURN_SYMBOLS * symbol);
    const { place, off, on } = stepAt(signal, levels, turn, at, rises, side, width, modulation !== "fsk");
    return {
      at: place,
      kind: kindOf(rises, (rises ? before : after) >= silence),
      levelBefore: rises ? off : on,
      levelAfter: rises ? on : off,
      hzBefore: undefined,
      hzAfter: undefined,
      // Only the noise along the carrier moves a step.
      sigma: (noise * width) / Math.SQRT2 / Math.max(on - off, noise),
    };
  });
}

/** The levels of on and off; where on is seldom, noise would otherwise be taken for both. */
function onAndOff(rough: Float64Array, noise: number): Levels {
  const clear = rough.filter((level) => level > CLEAR_LEVEL * noise);
  if (clear.length === 0 || clear.length > SELDOM_SHARE * rough.length) return twoLevels(rough);
  const on = twoLevels(clear).middle;
  if (on < SURE_LEVEL * noise) return twoLevels(rough);
  const off = medianOf(rough.filter((level) => level <= CLEAR_LEVEL * noise));
  return { middle: (on + off) / 2, half: (on - off) / 2 };
}

function medianOf(values: Float64Array): number {
  return values.sort()[values.length >> 1] ?? 0;
}

function kindOf(rises: boolean, quiet: boolean): EdgeKind {
  if (rises) return quiet ? "burst begins" : "level rises";
  return quiet ? "burst ends" : "level falls";
}

/** Turns from sample to sample where something is sent, summed up: the mean over any stretch is one subtraction away. */
interface Turns {
  readonly along: Float64Array;
  readonly across: Float64Array;
}

function turnsOf({ re, im }: BandSignal, levels: Float64Array, least: number): Turns {
  const along = new Float64Array(re.length + 1);
  const across = new Float64Array(re.length + 1);
  for (let i = 1; i < re.length; i++) {
    const sent = levels[i]! >= least && levels[i - 1]! >= least;
    along[i + 1] = along[i]! + (sent ? re[i]! * re[i - 1]! + im[i]! * im[i - 1]! : 0);
    across[i + 1] = across[i]! + (sent ? im[i]! * re[i - 1]! - re[i]! * im[i - 1]! : 0);
  }
  return { along, across };
}

/** Mean radians a sample about a place. */
function turnAt({ along, across }: Turns, place: number, reach: number): number {
  const from = Math.max(0, Math.floor(place - reach));
  const to = Math.min(along.length - 1, Math.ceil(place + reach));
  return Math.atan2(across[to]! - across[from]!, along[to]! - along[from]!);
}

/**
 * The step near a rough place.
 *
 * @param turn Radians a sample of what is sent: turned back by it, that stands still, and the noise across it no longer counts.
 * @param side Samples on each side that belong to the step.
 * @param mayStill Whether it may stand still so: never in FSK, where a tone of the last symbols would seem to, nearly, and
 *   the step be placed where it has turned away.
 */
function stepAt(
  { re, im }: BandSignal,
  levels: Float64Array,
  turn: number,
  rough: number,
  rises: boolean,
  side: number,
  width: number,
  mayStill: boolean,
): { place: number; off: number; on: number } {
  const first = Math.max(0, Math.ceil(rough - 1.5 * side));
  const last = Math.min(re.length - 1, Math.floor(rough + 1.5 * side));
  const level = levels.subarray(first, last + 1);
  const stillRe = new Float64Array(level.length);
  const stillIm = new Float64Array(level.length);
  for (let i = 0; i < level.length; i++) {
    const c = Math.cos(turn * i);
    const s = -Math.sin(turn * i);
    stillRe[i] = re[first + i]! * c - im[first + i]! * s;
    stillIm[i] = re[first + i]! * s + im[first + i]! * c;
  }
  const along = new Float64Array(level.length);
  let place = rough - first;
  let off = 0;
  let on = 0;
  // The place parts the two sides, and the two sides' levels tell the place.
  for (let round = 0; round < ROUNDS; round++) {
    const before = [place - 1 - side, place - 1] as const;
    const after = [place + 1, place + 1 + side] as const;
    const [from, to] = rises ? after : before;
    const onRe = meanBetween(stillRe, from, to);
    const onIm = meanBetween(stillIm, from, to);
    const still = Math.sqrt(onRe * onRe + onIm * onIm);
    const mean = meanBetween(level, from, to);
    // Where it turns all the time, the level itself has to do.
    const isStill = mayStill && still > STILL_SHARE * mean;
    on = Math.max(1e-12, isStill ? still : mean);
    for (let i = 0; i < along.length; i++) {
      along[i] = isStill ? (stillRe[i]! * onRe + stillIm[i]! * onIm) / on : level[i]!;
    }
    off = meanBetween(along, ...(rises ? before : after));
    place = bestStep(along, rough - first, side / 2, rises ? off : on, rises ? on : off, width);
  }
  return { place: first + place, off: Math.max(0, off), on };
}

function bestStep(along: Float64Array, rough: number, reach: number, before: number, after: number, width: number) {
  let best = rough;
  let least = Number.POSITIVE_INFINITY;
  for (let place = rough - reach; place <= rough + reach; place += FINENESS) {
    let cost = 0;
    for (let i = 0; i < along.length; i++) {
      const share = Math.min(1, Math.max(0, (i - place) / width + 0.5));
      const miss = along[i]! - before - share * (after - before);
      cost += miss * miss;
    }
    if (cost < least) {
      least = cost;
      best = place;
    }
  }
  return best;
}
