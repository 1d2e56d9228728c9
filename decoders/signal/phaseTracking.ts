import type { Detector } from "./detector.ts";
import { createFft } from "./fft.ts";
import { sumBetween } from "./tones.ts";

/** Where a frame's symbols lie, and what is known of them before they are decided. */
export interface TrackedStretch {
  /** Element of the baseband at which the first known symbol starts, and elements a symbol. */
  readonly at: number;
  readonly period: number;
  readonly rateHz: number;
  /** The symbols before the frame, +1 or −1. */
  readonly known: Int8Array;
  /** Symbols of the frame that evidence is wanted for, and how many of them lie inside the burst. */
  readonly count: number;
  readonly inside: number;
  /** Expected energy of noise alone in a symbol. */
  readonly noise: number;
  /** Symbol, known ones counted, from which every two are opposite; `undefined` where the code has no such pairs. */
  readonly pairsFrom: number | undefined;
}

/** Pieces of a symbol between which frequency and drift may still be changed. */
const PIECES = 8;
const FARTHEST_DRIFT_HZ = 12_000;
/** Of the symbol rate: how far the carrier may be off at mid-frame, and how finely it is tried. */
const FARTHEST_OFF = 0.5;
const OFF_STEP = 0.125;
const DRIFT_STEP = 0.25;
/** Radians over the whole telegram by which a clock may part the two frequencies, and how finely it is tried. */
const SKEW_STEP = 0.4;
const SKEW_STEPS = 10;
/** Symbols on each side that tell the phase of one. */
const REACH = 16;
const ROUNDS = 4;
const HIGHEST_SNR = 1000;
const SUREST = 30;

/**
 * ln(P(1)/P(0)) of each known symbol and each symbol of the frame, with the phase of the carrier tracked from symbol to
 * symbol: what the neighbours were taken for tells the phase of one, which is left out itself.
 *
 * The carrier may be off and drift in a straight line. ASK of any code has one phase throughout. FSK has one only where
 * every bit spends as long on either frequency, so that each begins with the same phase whatever the deviation.
 *
 * @returns One value a symbol, known ones first; `undefined` where this cannot be done: FSK of another code, or too few symbols.
 * @source Proakis, Digital Communications, coherent detection of on-off keying and of orthogonal signals (from memory).
 */
export function trackedEvidence(detector: Detector, stretch: TrackedStretch): Float64Array | undefined {
  const { known, count, inside, pairsFrom } = stretch;
  const reached = known.length + inside;
  const used = pairsFrom === undefined ? reached : pairsFrom + ((reached - pairsFrom) & ~1);
  if ((detector.low && pairsFrom === undefined) || used < REACH) return undefined;
  const pieces = cutPieces(detector, stretch, known.length + count);
  const turned = coarseTurn(pieces, detector.low !== undefined, stretch, used);
  const decided = firstDecisions(turned, detector.low !== undefined, stretch, used);
  if (detector.low) for (let round = 0; round < 2; round++) unskew(turned, decided, stretch, used);
  straighten(turned, decided, used);
  return decide(turned, decided, detector.low !== undefined, stretch, used);
}

/** Complex sums of a symbol under either hypothesis, both with the carrier's phase where the hypothesis holds. */
interface Phasors {
  readonly oneRe: Float64Array;
  readonly oneIm: Float64Array;
  readonly zeroRe: Float64Array;
  readonly zeroIm: Float64Array;
}

function emptyPhasors(length: number): Phasors {
  return {
    oneRe: new Float64Array(length),
    oneIm: new Float64Array(length),
    zeroRe: new Float64Array(length),
    zeroIm: new Float64Array(length),
  };
}

function cutPieces(detector: Detector, stretch: TrackedStretch, symbols: number): Phasors {
  const { at, period, rateHz } = stretch;
  const out = emptyPhasors(symbols * PIECES);
  const { high, low } = detector;
  const deviationHz = low ? (high.hz - low.hz) / 2 : 0;
  const turnASymbol = (2 * Math.PI * deviationHz * period) / rateHz;
  const leans = leansOf(stretch, symbols);
  for (let j = 0; j < symbols; j++) {
    const start = at + j * period;
    const begun = (2 * Math.PI * deviationHz * start) / rateHz;
    const oneTurn = begun - turnASymbol * leans.one[j]!;
    const zeroTurn = -begun - turnASymbol * leans.zero[j]!;
    for (let piece = 0; piece < PIECES; piece++) {
      const from = start + (piece * period) / PIECES;
      const k = j * PIECES + piece;
      const one = sumBetween(high, from, from + period / PIECES);
      out.oneRe[k] = one.re * Math.cos(oneTurn) - one.im * Math.sin(oneTurn);
      out.oneIm[k] = one.re * Math.sin(oneTurn) + one.im * Math.cos(oneTurn);
      if (!low) continue;
      const zero = sumBetween(low, from, from + period / PIECES);
      out.zeroRe[k] = zero.re * Math.cos(zeroTurn) - zero.im * Math.sin(zeroTurn);
      out.zeroIm[k] = zero.re * Math.sin(zeroTurn) + zero.im * Math.cos(zeroTurn);
    }
  }
  return out;
}

/**
 * Ones less zeros sent since the first pair began, before each symbol, if that is a one or a zero: a pair leaves it as it
 * was, and its second symbol stands after the opposite one.
 */
function leansOf({ known, pairsFrom = known.length }: TrackedStretch, symbols: number) {
  const one = new Int32Array(symbols);
  const zero = new Int32Array(symbols);
  let lean = 0;
  for (let j = 0; j < pairsFrom; j++) lean -= known[j]!;
  for (let j = 0; j < symbols; j++) {
    if (j < pairsFrom) {
      one[j] = lean;
      zero[j] = lean;
      lean += known[j]!;
    } else if ((j - pairsFrom) % 2 === 1) {
      one[j] = -1;
      zero[j] = 1;
    }
  }
  return { one, zero };
}

/** Pieces put together to symbols at the frequency and drift that leave the symbols clearest, whatever their phase. */
function coarseTurn(pieces: Phasors, fsk: boolean, stretch: TrackedStretch, used: number): Phasors {
  const symbolRate = stretch.rateHz / stretch.period;
  const trial = emptyPhasors(pieces.oneRe.length / PIECES);
  const bent = emptyPhasors(pieces.oneRe.length);
  let best = { value: Number.NEGATIVE_INFINITY, off: 0, drift: 0 };
  const drifts = Math.ceil(FARTHEST_DRIFT_HZ / (DRIFT_STEP * symbolRate));
  const offs = FARTHEST_OFF / OFF_STEP;
  for (let d = -drifts; d <= drifts; d++) {
    const drift = (d * DRIFT_STEP) / used; // of the symbol rate, in one symbol
    bend(bent, pieces, drift, used, used);
    for (let o = -offs; o <= offs; o++) {
      const off = o * OFF_STEP;
      join(trial, bent, off, used, used);
      const value = clearness(trial, fsk, stretch, used);
      if (value > best.value) best = { value, off, drift };
    }
  }
  bend(bent, pieces, best.drift, used, trial.oneRe.length);
  join(trial, bent, best.off, used, trial.oneRe.length);
  return trial;
}

/** Takes a drift off the pieces of the first `symbols` symbols. */
function bend(out: Phasors, pieces: Phasors, drift: number, used: number, symbols: number): void {
  for (let k = 0; k < symbols * PIECES; k++) {
    const x = (k + 0.5) / PIECES - used / 2;
    const turn = -Math.PI * drift * x * x;
    const c = Math.cos(turn);
    const s = Math.sin(turn);
    out.oneRe[k] = pieces.oneRe[k]! * c - pieces.oneIm[k]! * s;
    out.oneIm[k] = pieces.oneRe[k]! * s + pieces.oneIm[k]! * c;
    out.zeroRe[k] = pieces.zeroRe[k]! * c - pieces.zeroIm[k]! * s;
    out.zeroIm[k] = pieces.zeroRe[k]! * s + pieces.zeroIm[k]! * c;
  }
}

/** Puts the pieces of each symbol together at a frequency. */
function join(out: Phasors, pieces: Phasors, off: number, used: number, symbols: number): void {
  const pieceTurn = (-2 * Math.PI * off) / PIECES;
  const stepCos = Math.cos(pieceTurn);
  const stepSin = Math.sin(pieceTurn);
  for (let j = 0; j < symbols; j++) {
    let oneRe = 0;
    let oneIm = 0;
    let zeroRe = 0;
    let zeroIm = 0;
    const first = -2 * Math.PI * off * (j + 0.5 / PIECES - used / 2);
    let c = Math.cos(first);
    let s = Math.sin(first);
    for (let k = j * PIECES; k < (j + 1) * PIECES; k++) {
      oneRe += pieces.oneRe[k]! * c - pieces.oneIm[k]! * s;
      oneIm += pieces.oneRe[k]! * s + pieces.oneIm[k]! * c;
      zeroRe += pieces.zeroRe[k]! * c - pieces.zeroIm[k]! * s;
      zeroIm += pieces.zeroRe[k]! * s + pieces.zeroIm[k]! * c;
      const next = c * stepCos - s * stepSin;
      s = c * stepSin + s * stepCos;
      c = next;
    }
    out.oneRe[j] = oneRe;
    out.oneIm[j] = oneIm;
    out.zeroRe[j] = zeroRe;
    out.zeroIm[j] = zeroIm;
  }
}

/** Energy that speaks for what is known, and for either side of what is not. */
function clearness(phasors: Phasors, fsk: boolean, { known, pairsFrom }: TrackedStretch, used: number): number {
  const { oneRe, oneIm, zeroRe, zeroIm } = phasors;
  const difference = (j: number) => oneRe[j]! ** 2 + oneIm[j]! ** 2 - (fsk ? zeroRe[j]! ** 2 + zeroIm[j]! ** 2 : 0);
  let value = 0;
  let j = 0;
  for (; j < known.length; j++) value += known[j]! * difference(j);
  if (pairsFrom === undefined) {
    for (; j < used; j++) value += difference(j);
    return value;
  }
  // The first pair may have begun with a known symbol.
  if ((j - pairsFrom) % 2 === 1 && j < used) value -= known[j - 1]! * difference(j++);
  for (; j < used; j += 2) value += Math.abs(difference(j) - difference(j + 1));
  return value;
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
  for (let j = known.length; j < used; j++) {
    const one = phasors.oneRe[j]! ** 2 + phasors.oneIm[j]! ** 2;
    const zero = fsk ? phasors.zeroRe[j]! ** 2 + phasors.zeroIm[j]! ** 2 : middle;
    leans[j] = one - zero;
  }
  if (pairsFrom !== undefined) {
    for (let j = firstOpenPair(known.length, pairsFrom); j + 1 < used; j += 2) {
      const half = (leans[j]! - leans[j + 1]!) / 2;
      leans[j] = half;
      leans[j + 1] = -half;
    }
  }
  for (let j = known.length; j < used; j++) size += Math.abs(leans[j]!) / Math.max(1, used - known.length);
  for (let j = known.length; j < used; j++) decided[j] = sigmoid((3 * leans[j]!) / (size || 1));
  if (pairsFrom !== undefined && pairsFrom < known.length && known.length < used) {
    decided[known.length] = 1 - decided[known.length - 1]!;
  }
  return decided;
}

/**
 * FSK: the two frequencies' phases part where start, clock or deviation are not quite right. Takes that off, then decides
 * by whole bits.
 */
function unskew(phasors: Phasors, decided: Float64Array, stretch: TrackedStretch, used: number): void {
  const { known } = stretch;
  const apart = timeSkew(phasors, decided, used);
  const { oneRe, oneIm, zeroRe, zeroIm } = phasors;
  for (let j = 0; j < oneRe.length; j++) {
    turnBy(oneRe, oneIm, j, -(apart.phase + apart.slope * j));
    turnBy(zeroRe, zeroIm, j, apart.phase + apart.slope * j);
  }
  const first = stretch.pairsFrom ?? known.length;
  const skew = deviationSkew(phasors, decided, first, used);
  const leans = leansOf(stretch, oneRe.length);
  for (let j = 0; j < oneRe.length; j++) {
    turnBy(oneRe, oneIm, j, -skew * (2 * leans.one[j]! + 1));
    turnBy(zeroRe, zeroIm, j, -skew * (2 * leans.zero[j]! - 1));
  }
  let size = 0;
  const energy = (re: number, im: number) => re * re + im * im;
  const open = firstOpenPair(known.length, first);
  for (let j = open; j + 1 < used; j += 2) {
    const one = energy(oneRe[j]! + zeroRe[j + 1]!, oneIm[j]! + zeroIm[j + 1]!);
    decided[j] = one - energy(zeroRe[j]! + oneRe[j + 1]!, zeroIm[j]! + oneIm[j + 1]!);
    size += (2 * Math.abs(decided[j]!)) / Math.max(2, used - known.length);
  }
  for (let j = open; j + 1 < used; j += 2) {
    decided[j] = sigmoid((3 * decided[j]!) / (size || 1));
    decided[j + 1] = 1 - decided[j]!;
  }
}

/** Where the first pair lies of which nothing is known. */
function firstOpenPair(known: number, pairsFrom: number): number {
  return known + ((known - pairsFrom) % 2);
}

/** A start or clock that is off turns the two frequencies' phases apart: half the angle between neighbours of either. */
function timeSkew(phasors: Phasors, decided: Float64Array, used: number): { phase: number; slope: number } {
  const { oneRe, oneIm, zeroRe, zeroIm } = phasors;
  const re = new Float64Array(used);
  const im = new Float64Array(used);
  for (let j = 0; j + 1 < used; j++) {
    const falls = decided[j]! * (1 - decided[j + 1]!);
    const rises = (1 - decided[j]!) * decided[j + 1]!;
    re[j] =
      falls * (oneRe[j]! * zeroRe[j + 1]! + oneIm[j]! * zeroIm[j + 1]!) +
      rises * (oneRe[j + 1]! * zeroRe[j]! + oneIm[j + 1]! * zeroIm[j]!);
    im[j] =
      falls * (oneIm[j]! * zeroRe[j + 1]! - oneRe[j]! * zeroIm[j + 1]!) +
      rises * (oneIm[j + 1]! * zeroRe[j]! - oneRe[j + 1]! * zeroIm[j]!);
  }
  let best = { value: -1, phase: 0, slope: 0 };
  for (let step = -SKEW_STEPS; step <= SKEW_STEPS; step++) {
    const slope = (step * SKEW_STEP) / used;
    let sumRe = 0;
    let sumIm = 0;
    for (let j = 0; j < used; j++) {
      const c = Math.cos(slope * j);
      const s = Math.sin(slope * j);
      sumRe += re[j]! * c + im[j]! * s;
      sumIm += im[j]! * c - re[j]! * s;
    }
    const value = sumRe * sumRe + sumIm * sumIm;
    if (value > best.value) best = { value, phase: Math.atan2(sumIm, sumRe) / 2, slope: slope / 2 };
  }
  return best;
}

/** A deviation that is off turns the phases of the two words apart: half the angle between neighbours that differ. */
function deviationSkew(phasors: Phasors, decided: Float64Array, first: number, used: number): number {
  const { oneRe, oneIm, zeroRe, zeroIm } = phasors;
  let sumRe = 0;
  let sumIm = 0;
  for (let j = first; j + 3 < used; j += 2) {
    for (const [here, there] of [
      [j, j + 2],
      [j + 2, j],
    ] as const) {
      const weight = decided[here]! * (1 - decided[there]!);
      const aRe = oneRe[here]! + zeroRe[here + 1]!;
      const aIm = oneIm[here]! + zeroIm[here + 1]!;
      const bRe = zeroRe[there]! + oneRe[there + 1]!;
      const bIm = zeroIm[there]! + oneIm[there + 1]!;
      sumRe += weight * (aRe * bRe + aIm * bIm);
      sumIm += weight * (aIm * bRe - aRe * bIm);
    }
  }
  return Math.atan2(sumIm, sumRe) / 2;
}

/** Takes off the frequency and the drift at which the decided symbols add up best. */
function straighten(phasors: Phasors, decided: Float64Array, used: number): void {
  const re = new Float64Array(used);
  const im = new Float64Array(used);
  for (let j = 0; j < used; j++) [re[j], im[j]] = taken(phasors, decided, j);
  // At least four lines to the width of one.
  const fft = createFft(2 ** Math.ceil(Math.log2(4 * used)));
  const offs = Math.ceil(OFF_STEP * fft.size);
  const bendStep = 0.6 / used / used;
  const bends = Math.ceil((0.6 * DRIFT_STEP) / used / bendStep);
  let best = { value: -1, off: 0, bend: 0 };
  const bentRe = new Float64Array(fft.size);
  const bentIm = new Float64Array(fft.size);
  for (let b = -bends; b <= bends; b++) {
    const bend = b * bendStep;
    bentRe.fill(0, used);
    bentIm.fill(0, used);
    for (let j = 0; j < used; j++) {
      const x = j - used / 2;
      const turn = -Math.PI * bend * x * x;
      const c = Math.cos(turn);
      const s = Math.sin(turn);
      bentRe[j] = re[j]! * c - im[j]! * s;
      bentIm[j] = re[j]! * s + im[j]! * c;
    }
    fft.forward(bentRe, bentIm);
    for (let o = -offs; o <= offs; o++) {
      const k = o < 0 ? o + fft.size : o;
      const value = bentRe[k]! * bentRe[k]! + bentIm[k]! * bentIm[k]!;
      if (value > best.value) best = { value, off: o / fft.size, bend };
    }
  }
  for (let j = 0; j < phasors.oneRe.length; j++) {
    const x = j - used / 2;
    const turn = -2 * Math.PI * (best.off * x + 0.5 * best.bend * x * x);
    turnBy(phasors.oneRe, phasors.oneIm, j, turn);
    turnBy(phasors.zeroRe, phasors.zeroIm, j, turn);
  }
}

function turnBy(re: Float64Array, im: Float64Array, j: number, turn: number): void {
  const a = re[j]!;
  const b = im[j]!;
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  re[j] = a * c - b * s;
  im[j] = a * s + b * c;
}

/** What a symbol tells of the phase, as far as it is decided. For ASK an off tells nothing: its zero is 0. */
function taken(phasors: Phasors, decided: Float64Array, j: number): [re: number, im: number] {
  const p = decided[j]!;
  return [p * phasors.oneRe[j]! + (1 - p) * phasors.zeroRe[j]!, p * phasors.oneIm[j]! + (1 - p) * phasors.zeroIm[j]!];
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
      if (partner < j && partner < known.length) decided[j] = 1 - decided[partner]!;
      else decided[j] = sigmoid(partner === j ? evidence[j]! : evidence[j]! - evidence[partner]!);
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

/** The other symbol of a symbol's pair; itself where it is in none. */
function partnerOf(j: number, pairsFrom: number | undefined): number {
  return pairsFrom === undefined || j < pairsFrom ? j : pairsFrom + ((j - pairsFrom) ^ 1);
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

function sigmoid(x: number): number {
  return 1 / (1 + Math.exp(-x));
}
