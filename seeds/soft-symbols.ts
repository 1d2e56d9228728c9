import type { RandomGenerator } from "pure-rand/types/RandomGenerator";
import type { Layout } from "../decoders/layouts/schema.ts";
import { ln } from "./arithmetic.ts";
import { addNoise } from "./noise.ts";

export interface SoftSymbols {
  /** One symbol each, 0 or 1; some are wrong. */
  readonly symbols: Uint8Array;
  /** 16 · ln(P(right)/P(wrong)) each, cut to 0..255. */
  readonly confidence: Uint8Array;
}

/**
 * What a noncoherent receiver that knows the level decides on symbols in white noise, and how sure it is.
 *
 * FSK compares the energies at two frequencies that do not see each other, ASK the energy with what on and off would
 * give. The confidences are the true ones for such a receiver, so of symbols with one confidence as many are wrong as
 * it says.
 *
 * @param sent One symbol each, 0 or 1. Not modified.
 * @param energies Energy of each symbol while the carrier is on, over noise power per Hz.
 * @source J. G. Proakis, Digital Communications, noncoherent detection of orthogonal signals and of on-off keying.
 */
export function drawSoftSymbols(
  modulation: Layout["modulation"],
  sent: Uint8Array,
  energies: Float64Array,
  random: RandomGenerator,
): SoftSymbols {
  const symbols = new Uint8Array(sent.length);
  const confidence = new Uint8Array(sent.length);
  const noise = new Float64Array(4 * sent.length);
  addNoise(noise, 1, random);
  for (let i = 0; i < sent.length; i++) {
    const energy = energies[i]!;
    const size = Math.sqrt(energy);
    const mark = envelope(sent[i] === 1 ? size : 0, noise[4 * i]!, noise[4 * i + 1]!);
    const space = envelope(sent[i] === 0 ? size : 0, noise[4 * i + 2]!, noise[4 * i + 3]!);
    const other = modulation === "fsk" ? lnBesselI0(2 * size * space) : energy;
    const ratio = lnBesselI0(2 * size * mark) - other; // ln P(1) / P(0)
    symbols[i] = ratio > 0 ? 1 : 0;
    confidence[i] = Math.min(255, Math.floor(16 * Math.abs(ratio) + 0.5));
  }
  return { symbols, confidence };
}

/**
 * Logarithm of the modified Bessel function of order 0, x from 0 on, within 5e-7.
 *
 * @source M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 9.8.1 and 9.8.2.
 */
export function lnBesselI0(x: number): number {
  if (x < 3.75) return ln(horner(SMALL, (x / 3.75) * (x / 3.75)));
  return x - ln(x) / 2 + ln(horner(LARGE, 3.75 / x));
}

const SMALL = [1, 3.5156229, 3.0899424, 1.2067492, 0.2659732, 0.0360768, 0.0045813];
const LARGE = [
  0.39894228, 0.01328592, 0.00225319, -0.00157565, 0.00916281, -0.02057706, 0.02635537, -0.01647633, 0.00392377,
];

function horner(coefficients: readonly number[], x: number): number {
  return coefficients.reduceRight((sum, coefficient) => sum * x + coefficient, 0);
}

function envelope(signal: number, noiseI: number, noiseQ: number): number {
  return Math.sqrt((signal + noiseI) * (signal + noiseI) + noiseQ * noiseQ);
}
