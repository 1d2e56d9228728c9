import type { Baseband } from "./baseband.ts";

/** Running sums of a baseband mixed by one frequency: any stretch's matched energy is one subtraction away. */
export interface Tone {
  readonly hz: number;
  /** Element i is the sum of the samples before i; one longer than the baseband. */
  readonly re: Float64Array;
  readonly im: Float64Array;
}

export function toneSums(base: Baseband, hz: number): Tone {
  const count = base.re.length;
  const re = new Float64Array(count + 1);
  const im = new Float64Array(count + 1);
  const turn = (-2 * Math.PI * hz) / base.rateHz;
  const turnCos = Math.cos(turn);
  const turnSin = Math.sin(turn);
  let c = 1;
  let s = 0;
  let sumRe = 0;
  let sumIm = 0;
  for (let i = 0; i < count; i++) {
    if ((i & 1023) === 0) {
      c = Math.cos(turn * i);
      s = Math.sin(turn * i);
    }
    const a = base.re[i]!;
    const b = base.im[i]!;
    sumRe += a * c - b * s;
    sumIm += a * s + b * c;
    re[i + 1] = sumRe;
    im[i + 1] = sumIm;
    const next = c * turnCos - s * turnSin;
    s = c * turnSin + s * turnCos;
    c = next;
  }
  return { hz, re, im };
}

/**
 * Energy of a tone between two times in elements, which may lie between elements; outside the baseband there is none.
 * White noise of power p a sample gives p·(to − from) on average.
 */
export function energyBetween(tone: Tone, from: number, to: number): number {
  const re = sumUpTo(tone.re, to) - sumUpTo(tone.re, from);
  const im = sumUpTo(tone.im, to) - sumUpTo(tone.im, from);
  return re * re + im * im;
}

/** The sum itself, of which `energyBetween` is the square. */
export function sumBetween(tone: Tone, from: number, to: number): { re: number; im: number } {
  return {
    re: sumUpTo(tone.re, to) - sumUpTo(tone.re, from),
    im: sumUpTo(tone.im, to) - sumUpTo(tone.im, from),
  };
}

/**
 * Root energies of a tone in a row of stretches that begin `step` after one another.
 *
 * @param length Of each stretch, in steps: a whole number.
 * @param out One each; as many stretches as it is long.
 */
export function rootEnergies(tone: Tone, from: number, step: number, length: number, out: Float64Array): void {
  const count = out.length;
  const re = new Float64Array(count + length);
  const im = new Float64Array(count + length);
  const last = tone.re.length - 1;
  for (let g = 0; g < re.length; g++) {
    const at = from + g * step;
    const within = at < 0 ? 0 : at > last ? last : at;
    const i = within === last ? last - 1 : Math.floor(within);
    const f = within - i;
    re[g] = tone.re[i]! + f * (tone.re[i + 1]! - tone.re[i]!);
    im[g] = tone.im[i]! + f * (tone.im[i + 1]! - tone.im[i]!);
  }
  for (let g = 0; g < count; g++) {
    const a = re[g + length]! - re[g]!;
    const b = im[g + length]! - im[g]!;
    out[g] = Math.sqrt(a * a + b * b);
  }
}

/** Adds the scaled root energies of stretches that follow one another, each `period` long, to `out`. */
export function addRootEnergies(tone: Tone, from: number, period: number, scale: number, out: Float64Array): void {
  const { re, im } = tone;
  const last = re.length - 1;
  let beforeRe = sumUpTo(re, from);
  let beforeIm = sumUpTo(im, from);
  for (let j = 0; j < out.length; j++) {
    const at = from + (j + 1) * period;
    const within = at < 0 ? 0 : at > last ? last : at;
    const i = within === last ? last - 1 : Math.floor(within);
    const f = within - i;
    const hereRe = re[i]! + f * (re[i + 1]! - re[i]!);
    const hereIm = im[i]! + f * (im[i + 1]! - im[i]!);
    const a = hereRe - beforeRe;
    const b = hereIm - beforeIm;
    out[j] = out[j]! + scale * Math.sqrt(a * a + b * b);
    beforeRe = hereRe;
    beforeIm = hereIm;
  }
}

/** A running sum at a time between elements. */
export function sumUpTo(sums: Float64Array, at: number): number {
  const last = sums.length - 1;
  const within = at < 0 ? 0 : at > last ? last : at;
  const i = within === last ? last - 1 : Math.floor(within);
  return sums[i]! + (within - i) * (sums[i + 1]! - sums[i]!);
}
