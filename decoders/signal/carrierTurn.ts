import { createFft } from "./fft.ts";
import { emptyPhasors, leansBefore, type Phasors, PIECES, type TrackedStretch, taken, turnBy } from "./phasors.ts";

const FARTHEST_DRIFT_HZ = 12_000;
/** Of the symbol rate: how far the carrier may be off at mid-frame, and how finely it is tried. */
const FARTHEST_OFF = 0.5;
const OFF_STEP = 0.125;
const DRIFT_STEP = 0.25;
/** The same for the deviation. */
const WIDER_STEP = 0.1;
const WIDER_STEPS = 4;

/**
 * Pieces put together to symbols at the frequency, the drift and, for FSK, the deviation that leave the symbols clearest,
 * whatever their phase.
 */
export function coarseTurn(pieces: Phasors, fsk: boolean, stretch: TrackedStretch, used: number): Phasors {
  const symbolRate = stretch.rateHz / stretch.period;
  const trial = emptyPhasors(pieces.oneRe.length / PIECES);
  let best = { value: Number.NEGATIVE_INFINITY, off: 0, drift: 0 };
  let wide = pieces;
  const consider = (from: Phasors, off: number, drift: number) => {
    join(trial, from, off, drift, used, used);
    const value = clearness(trial, fsk, stretch, used);
    if (value <= best.value) return;
    best = { value, off, drift };
    wide = from;
  };
  const drifts = Math.ceil(FARTHEST_DRIFT_HZ / (DRIFT_STEP * symbolRate));
  const offs = FARTHEST_OFF / OFF_STEP;
  const turnAll = (from: Phasors) => {
    for (let d = -drifts; d <= drifts; d++) {
      // A drift is told in symbol rates a symbol.
      for (let o = -offs; o <= offs; o++) consider(from, o * OFF_STEP, (d * DRIFT_STEP) / used);
    }
  };
  turnAll(pieces);
  if (fsk) {
    const { off, drift } = best;
    for (let w = -WIDER_STEPS; w <= WIDER_STEPS; w++) {
      if (w !== 0) consider(widened(pieces, w * WIDER_STEP, stretch), off, drift);
    }
    if (wide !== pieces) turnAll(wide);
  }
  join(trial, wide, best.off, best.drift, used, trial.oneRe.length);
  return trial;
}

function join(out: Phasors, pieces: Phasors, off: number, drift: number, used: number, symbols: number): void {
  const { oneRe, oneIm, zeroRe, zeroIm } = pieces;
  // The turn is a parabola: it goes on by a step that itself goes on by one angle.
  const x0 = 0.5 / PIECES - used / 2;
  const phase = -2 * Math.PI * (off * x0 + 0.5 * drift * x0 * x0);
  const first = (-2 * Math.PI * (off + drift * (x0 + 0.5 / PIECES))) / PIECES;
  const bend = (-2 * Math.PI * drift) / PIECES / PIECES;
  let c = Math.cos(phase);
  let s = Math.sin(phase);
  let stepCos = Math.cos(first);
  let stepSin = Math.sin(first);
  const bendCos = Math.cos(bend);
  const bendSin = Math.sin(bend);
  let k = 0;
  for (let j = 0; j < symbols; j++) {
    let aRe = 0;
    let aIm = 0;
    let bRe = 0;
    let bIm = 0;
    for (let piece = 0; piece < PIECES; piece++, k++) {
      aRe += oneRe[k]! * c - oneIm[k]! * s;
      aIm += oneRe[k]! * s + oneIm[k]! * c;
      bRe += zeroRe[k]! * c - zeroIm[k]! * s;
      bIm += zeroRe[k]! * s + zeroIm[k]! * c;
      const nextCos = c * stepCos - s * stepSin;
      s = c * stepSin + s * stepCos;
      c = nextCos;
      const nextStep = stepCos * bendCos - stepSin * bendSin;
      stepSin = stepCos * bendSin + stepSin * bendCos;
      stepCos = nextStep;
    }
    out.oneRe[j] = aRe;
    out.oneIm[j] = aIm;
    out.zeroRe[j] = bRe;
    out.zeroIm[j] = bIm;
  }
}

/** The pieces of a deviation that is larger by a share of the symbol rate. */
function widened(pieces: Phasors, wider: number, { known, pairsFrom }: TrackedStretch): Phasors {
  const out: Phasors = {
    oneRe: pieces.oneRe.slice(),
    oneIm: pieces.oneIm.slice(),
    zeroRe: pieces.zeroRe.slice(),
    zeroIm: pieces.zeroIm.slice(),
  };
  const leans = leansBefore(known, pairsFrom ?? known.length);
  for (let k = 0; k < out.oneRe.length; k++) {
    const j = Math.floor(k / PIECES);
    const within = ((k % PIECES) + 0.5) / PIECES;
    turnBy(out.oneRe, out.oneIm, k, -2 * Math.PI * wider * (within + leans.one(j)));
    turnBy(out.zeroRe, out.zeroIm, k, 2 * Math.PI * wider * (within - leans.zero(j)));
  }
  return out;
}

/** Energy that speaks for what is known, and for either side of what is not. */
function clearness(phasors: Phasors, fsk: boolean, { known, pairsFrom }: TrackedStretch, used: number): number {
  let value = 0;
  for (let j = 0; j < used; j++) {
    const energy = phasors.oneRe[j]! ** 2 + phasors.oneIm[j]! ** 2;
    const difference = fsk ? energy - phasors.zeroRe[j]! ** 2 - phasors.zeroIm[j]! ** 2 : energy;
    if (j < (pairsFrom ?? known.length)) value += known[j]! * difference;
    else if (pairsFrom !== undefined && j + 1 < used) {
      const next = phasors.oneRe[j + 1]! ** 2 + phasors.oneIm[j + 1]! ** 2;
      const other = fsk ? next - phasors.zeroRe[j + 1]! ** 2 - phasors.zeroIm[j + 1]! ** 2 : next;
      value += Math.abs(difference - other);
      j++;
    } else value += energy;
  }
  return value;
}

/**
 * Takes off the frequency and the drift at which the decided symbols add up best, within two steps of the coarse ones:
 * those are told by energies alone, and the next step has nearly as much.
 */
export function straighten(phasors: Phasors, decided: Float64Array, used: number): void {
  // Two symbols together: their sum hardly feels what is left of the frequency.
  const count = used >> 1;
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  for (let m = 0; m < count; m++) {
    const [aRe, aIm] = taken(phasors, decided, 2 * m);
    const [bRe, bIm] = taken(phasors, decided, 2 * m + 1);
    re[m] = aRe + bRe;
    im[m] = aIm + bIm;
  }
  const fft = createFft(2 ** Math.ceil(Math.log2(4 * count)));
  const { size } = fft;
  const bentRe = new Float64Array(size);
  const bentIm = new Float64Array(size);
  let best = { value: -1, off: 0, bend: 0 };
  const consider = (bend: number) => {
    bentRe.fill(0);
    bentIm.fill(0);
    for (let m = 0; m < count; m++) {
      const x = 2 * m - used / 2;
      const turn = -Math.PI * bend * x * x;
      const c = Math.cos(turn);
      const s = Math.sin(turn);
      bentRe[m] = re[m]! * c - im[m]! * s;
      bentIm[m] = re[m]! * s + im[m]! * c;
    }
    fft.forward(bentRe, bentIm);
    for (let k = 0; k < size; k++) {
      const value = bentRe[k]! * bentRe[k]! + bentIm[k]! * bentIm[k]!;
      if (value > best.value) best = { value, off: (k < size / 2 ? k : k - size) / size / 2, bend };
    }
  };
  const bendStep = 2.4 / used / used;
  const bends = Math.ceil((1.25 * DRIFT_STEP) / used / bendStep);
  for (let b = -bends; b <= bends; b++) consider(b * bendStep);
  const { bend } = best;
  for (const part of [-0.75, -0.5, -0.25, 0.25, 0.5, 0.75]) consider(bend + part * bendStep);
  for (let j = 0; j < phasors.oneRe.length; j++) {
    const x = j - used / 2;
    const turn = -2 * Math.PI * (best.off * x + 0.5 * best.bend * x * x);
    turnBy(phasors.oneRe, phasors.oneIm, j, turn);
    turnBy(phasors.zeroRe, phasors.zeroIm, j, turn);
  }
}
