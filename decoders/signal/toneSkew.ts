import { leansBefore, type Phasors, sigmoid, type TrackedStretch, turnBy } from "./phasors.ts";

/** Radians over the whole telegram by which a clock may part the two frequencies, and how finely it is tried. */
const SKEW_STEP = 0.4;
const SKEW_STEPS = 10;

/**
 * FSK: the two frequencies' phases part where start, clock or deviation are not quite right. Takes that off, then decides
 * by whole bits.
 */
export function unskew(phasors: Phasors, decided: Float64Array, stretch: TrackedStretch, used: number): void {
  const { known } = stretch;
  const first = stretch.pairsFrom ?? known.length;
  const apart = timeSkew(phasors, decided, used);
  const { oneRe, oneIm, zeroRe, zeroIm } = phasors;
  for (let j = 0; j < oneRe.length; j++) {
    turnBy(oneRe, oneIm, j, -(apart.phase + apart.slope * j));
    turnBy(zeroRe, zeroIm, j, apart.phase + apart.slope * j);
  }
  const skew = deviationSkew(phasors, decided, first, used);
  const leans = leansBefore(known, first);
  for (let j = 0; j < oneRe.length; j++) {
    turnBy(oneRe, oneIm, j, -skew * (2 * leans.one(j) + 1));
    turnBy(zeroRe, zeroIm, j, -skew * (2 * leans.zero(j) - 1));
  }
  let size = 0;
  const words = new Float64Array(used);
  const energy = (re: number, im: number) => re * re + im * im;
  for (let j = first; j + 1 < used; j += 2) {
    const one = energy(oneRe[j]! + zeroRe[j + 1]!, oneIm[j]! + zeroIm[j + 1]!);
    words[j] = one - energy(zeroRe[j]! + oneRe[j + 1]!, zeroIm[j]! + oneIm[j + 1]!);
    size += (2 * Math.abs(words[j]!)) / Math.max(2, used - first);
  }
  for (let j = first; j + 1 < used; j += 2) {
    // Half of a pair may be known, and so the other.
    if (j >= known.length) decided[j] = sigmoid((3 * words[j]!) / (size || 1));
    decided[j + 1] = 1 - decided[j]!;
  }
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
