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
  const drifts = Math.ceil(FARTHEST_DRIFT_HZ / (DRIFT_STEP * symbolRate));
  const offs = FARTHEST_OFF / OFF_STEP;
  for (let d = -drifts; d <= drifts; d++) {
    for (let o = -offs; o <= offs; o++) {
      const off = o * OFF_STEP;
      const drift = (d * DRIFT_STEP) / used; // of the symbol rate, in one symbol
      join(trial, pieces, off, drift, used, used);
      const value = clearness(trial, fsk, stretch, used);
      if (value > best.value) best = { value, off, drift };
    }
  }
  let wide = pieces;
  for (let w = -WIDER_STEPS; fsk && w <= WIDER_STEPS; w++) {
    if (w === 0) continue;
    const other = widened(pieces, w * WIDER_STEP, stretch);
    join(trial, other, best.off, best.drift, used, used);
    const value = clearness(trial, fsk, stretch, used);
    if (value > best.value) {
      best = { ...best, value };
      wide = other;
    }
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

/** Takes off the frequency and the drift at which the decided symbols add up best. */
export function straighten(phasors: Phasors, decided: Float64Array, used: number): void {
  const re = new Float64Array(used);
  const im = new Float64Array(used);
  for (let j = 0; j < used; j++) [re[j], im[j]] = taken(phasors, decided, j);
  const offStep = 1 / (4 * used);
  const offs = Math.ceil(OFF_STEP / offStep);
  const bendStep = 0.6 / used / used;
  const bends = Math.ceil((0.6 * DRIFT_STEP) / used / bendStep);
  let best = { value: -1, off: 0, bend: 0 };
  const bentRe = new Float64Array(used);
  const bentIm = new Float64Array(used);
  for (let b = -bends; b <= bends; b++) {
    const bend = b * bendStep;
    for (let j = 0; j < used; j++) {
      const x = j - used / 2;
      const turn = -Math.PI * bend * x * x;
      bentRe[j] = re[j]! * Math.cos(turn) - im[j]! * Math.sin(turn);
      bentIm[j] = re[j]! * Math.sin(turn) + im[j]! * Math.cos(turn);
    }
    for (let o = -offs; o <= offs; o++) {
      const turn = -2 * Math.PI * o * offStep;
      const turnCos = Math.cos(turn);
      const turnSin = Math.sin(turn);
      // Horner's rule: the sum of c[j]·w^j.
      let sumRe = 0;
      let sumIm = 0;
      for (let j = used - 1; j >= 0; j--) {
        const next = sumRe * turnCos - sumIm * turnSin + bentRe[j]!;
        sumIm = sumRe * turnSin + sumIm * turnCos + bentIm[j]!;
        sumRe = next;
      }
      const value = sumRe * sumRe + sumIm * sumIm;
      if (value > best.value) best = { value, off: o * offStep, bend };
    }
  }
  for (let j = 0; j < phasors.oneRe.length; j++) {
    const x = j - used / 2;
    const turn = -2 * Math.PI * (best.off * x + 0.5 * best.bend * x * x);
    turnBy(phasors.oneRe, phasors.oneIm, j, turn);
    turnBy(phasors.zeroRe, phasors.zeroIm, j, turn);
  }
}
