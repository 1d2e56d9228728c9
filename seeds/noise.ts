import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { RandomGenerator } from "pure-rand/types/RandomGenerator";
import { ln } from "./arithmetic.ts";

/**
 * A stream of chance that is the same for the same whole numbers.
 *
 * @param stream Which of the seed's streams, from 0; they do not overlap.
 */
export function chance(seed: number, stream = 0): RandomGenerator {
  // The generator begins with a plain copy of its seed, so that neighbouring seeds would begin alike.
  const random = xoroshiro128plus(scattered(seed));
  for (let i = 0; i < WARM_UP; i++) random.next();
  for (let i = 0; i < stream; i++) random.jump();
  return random;
}

const WARM_UP = 64;

/** Another 32-bit integer for each, far apart for neighbours. @source The finalizer of MurmurHash3 (A. Appleby), 32 bits. */
function scattered(seed: number): number {
  let mixed = seed | 0;
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
  return mixed ^ (mixed >>> 16);
}

/** A number from 0 up to and without 1, in steps of 2^-32. */
export function uniform(random: RandomGenerator): number {
  return (random.next() >>> 0) * TWO_TO_MINUS_32;
}

/**
 * Adds complex white Gaussian noise.
 *
 * @param iq Interleaved, I first. Modified.
 * @param power Mean of |noise|² that is added.
 * @source G. Marsaglia, T. A. Bray, "A convenient method for generating normal variables", SIAM Review 6 (1964): the
 *   polar method, which needs no sine.
 */
export function addNoise(iq: Float64Array, power: number, random: RandomGenerator): void {
  for (let i = 0; i < iq.length; i += 2) {
    let u = 0;
    let v = 0;
    let s = 1;
    while (s >= 1 || s === 0) {
      u = random.next() * TWO_TO_MINUS_31; // signed, so -1 up to 1
      v = random.next() * TWO_TO_MINUS_31;
      s = u * u + v * v;
    }
    const scale = Math.sqrt((-power * ln(s)) / s);
    iq[i]! += u * scale;
    iq[i + 1]! += v * scale;
  }
}

const TWO_TO_MINUS_31 = 1 / 2147483648;
const TWO_TO_MINUS_32 = 1 / 4294967296;
