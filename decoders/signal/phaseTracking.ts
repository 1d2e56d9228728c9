import { coarseTurn, straighten } from "./carrierTurn.ts";
import type { Detector } from "./detector.ts";
import { cutPieces, type Phasors, sigmoid, type TrackedStretch, taken } from "./phasors.ts";
import { unskew } from "./toneSkew.ts";

/** Symbols on each side that tell the phase of one. */
const REACH = 16;
const ROUNDS = 4;
/** The search for the drift would take too long, and a straight line would not do. */
const MOST_SYMBOLS = 1200;
const HIGHEST_SNR = 1000;
const SUREST = 30;

/**
 * ln(P(1)/P(0)) of each known symbol and each symbol of the frame, with the phase of the carrier tracked from symbol to
 * symbol: what the neighbours were taken for tells the phase of one, which is left out itself.
 *
 * The carrier may be off and drift in a straight line. ASK of any code has one phase throughout. FSK has one only where
 * symbols come in pairs of opposite ones, so that each pair begins with the same phase whatever the deviation.
 *
 * @returns One value a symbol, known ones first; `undefined` where this cannot be done: FSK of another code, too few symbols or too many.
 * @source Proakis, Digital Communications, coherent detection of on-off keying and of orthogonal signals (from memory).
 */
export function trackedEvidence(detector: Detector, stretch: TrackedStretch): Float64Array | undefined {
  const { known, count, inside, pairsFrom } = stretch;
  const all = known.length + inside;
  const used = pairsFrom === undefined ? all : all - ((all - pairsFrom) & 1);
  if ((detector.low && pairsFrom === undefined) || used < Math.max(REACH, known.length) || used > MOST_SYMBOLS)
    return undefined;
  const pieces = cutPieces(detector, stretch, known.length + count);
  const turned = coarseTurn(pieces, detector.low !== undefined, stretch, used);
  const decided = firstDecisions(turned, detector.low !== undefined, stretch, used);
  if (detector.low) for (let round = 0; round < 2; round++) unskew(turned, decided, stretch, used);
  straighten(turned, decided, used);
  return decide(turned, decided, detector.low !== undefined, stretch, used);
}

/** P(1) of each symbol before any phase is known. */
function firstDecisions(
  phasors: Phasors,
  fsk: boolean,
  { known, pairsFrom }: TrackedStretch,
  used: number,
): Float64Array {
  const decided = new Float64Array(used);
  const leans = new Float64Array(used);
  let on = 0;
  let ons = 0;
  for (let j = 0; j < known.length; j++) {
    decided[j] = known[j]! > 0 ? 1 : 0;
    if (known[j]! <= 0) continue;
    on += phasors.oneRe[j]! ** 2 + phasors.oneIm[j]! ** 2;
    ons++;
  }
  const middle = on / Math.max(1, ons) / 3;
  let size = 0;
  for (let j = Math.min(known.length, pairsFrom ?? known.length); j < used; j++) {
    const one = phasors.oneRe[j]! ** 2 + phasors.oneIm[j]! ** 2;
    const zero = fsk ? phasors.zeroRe[j]! ** 2 + phasors.zeroIm[j]! ** 2 : middle;
    leans[j] = one - zero;
  }
  if (pairsFrom !== undefined) {
    for (let j = pairsFrom; j + 1 < used; j += 2) {
      const half = (leans[j]! - leans[j + 1]!) / 2;
      leans[j] = half;
      leans[j + 1] = -half;
    }
  }
  for (let j = known.length; j < used; j++) size += Math.abs(leans[j]!) / Math.max(1, used - known.length);
  for (let j = known.length; j < used; j++) decided[j] = sigmoid((3 * leans[j]!) / (size || 1));
  return decided;
}

function decide(
  phasors: Phasors,
  decided: Float64Array,
  fsk: boolean,
  { known, pairsFrom, noise }: TrackedStretch,
  used: number,
): Float64Array {
  const total = phasors.oneRe.length;
  const one = new Float64Array(total);
  const zero = new Float64Array(total);
  const evidence = new Float64Array(total);
  for (let round = 0; round < ROUNDS; round++) {
    let across = 0;
    let weights = 0;
    for (let j = 0; j < total; j++) {
      const [re, im] = phaseAround(phasors, decided, j, used, pairsFrom);
      one[j] = phasors.oneRe[j]! * re + phasors.oneIm[j]! * im;
      zero[j] = phasors.zeroRe[j]! * re + phasors.zeroIm[j]! * im;
      if (j >= used) continue;
      across += decided[j]! * (phasors.oneIm[j]! * re - phasors.oneRe[j]! * im) ** 2;
      weights += decided[j]!;
    }
    const levels = levelsOf(one, zero, decided, fsk, used);
    const floor = Math.max(noise, (2 * across) / Math.max(1, weights), levels.on ** 2 / HIGHEST_SNR, 1e-30);
    for (let j = 0; j < total; j++) {
      const value = fsk
        ? (2 * levels.on * (one[j]! - zero[j]!)) / floor
        : (2 * (levels.on - levels.off) * one[j]! - levels.on ** 2 + levels.off ** 2) / floor;
      evidence[j] = Math.max(-SUREST, Math.min(SUREST, value));
    }
    for (let j = known.length; j < used; j++) {
      const partner = partnerOf(j, pairsFrom);
      decided[j] = sigmoid(partner === j ? evidence[j]! : evidence[j]! - evidence[partner]!);
    }
  }
  return evidence;
}

/** Unit phasor of the carrier at one symbol, told by those around it; a bit's two symbols are both left out. */
function phaseAround(
  phasors: Phasors,
  decided: Float64Array,
  at: number,
  used: number,
  pairsFrom: number | undefined,
): [re: number, im: number] {
  const partner = partnerOf(at, pairsFrom);
  let re = 0;
  let im = 0;
  for (let j = Math.max(0, Math.min(at, used) - REACH); j < Math.min(used, at + REACH + 1); j++) {
    if (j === at || j === partner) continue;
    const [a, b] = taken(phasors, decided, j);
    re += a;
    im += b;
  }
  const size = Math.hypot(re, im) || 1;
  return [re / size, im / size];
}

/** The other symbol of a pair; itself where there is none. */
function partnerOf(symbol: number, pairsFrom: number | undefined): number {
  return pairsFrom === undefined || symbol < pairsFrom ? symbol : pairsFrom + ((symbol - pairsFrom) ^ 1);
}

/** Mean amplitude of what was decided on, and for ASK of what was decided off: a transmitter may leave a rest. */
function levelsOf(
  one: Float64Array,
  zero: Float64Array,
  decided: Float64Array,
  fsk: boolean,
  used: number,
): { on: number; off: number } {
  let on = 0;
  let ons = 0;
  let off = 0;
  for (let j = 0; j < used; j++) {
    const p = decided[j]!;
    on += p * one[j]! + (fsk ? (1 - p) * zero[j]! : 0);
    ons += p;
    off += (1 - p) * one[j]!;
  }
  if (fsk) return { on: Math.max(0, on / used), off: 0 };
  const level = Math.max(0, on / Math.max(1e-9, ons));
  return { on: level, off: Math.min(level, Math.max(0, off / Math.max(1e-9, used - ons))) };
}
