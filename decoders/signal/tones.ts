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
  const { re, im } = sumBetween(tone, from, to);
  return re * re + im * im;
}

/** The sum itself, of which `energyBetween` is the square. */
export function sumBetween(tone: Tone, from: number, to: number): { re: number; im: number } {
  const last = tone.re.length - 1;
  const a = from < 0 ? 0 : from > last ? last : from;
  const b = to < 0 ? 0 : to > last ? last : to;
  const ai = a === last ? last - 1 : Math.floor(a);
  const bi = b === last ? last - 1 : Math.floor(b);
  const af = a - ai;
  const bf = b - bi;
  return {
    re: tone.re[bi]! + bf * (tone.re[bi + 1]! - tone.re[bi]!) - tone.re[ai]! - af * (tone.re[ai + 1]! - tone.re[ai]!),
    im: tone.im[bi]! + bf * (tone.im[bi + 1]! - tone.im[bi]!) - tone.im[ai]! - af * (tone.im[ai + 1]! - tone.im[ai]!),
  };
}
