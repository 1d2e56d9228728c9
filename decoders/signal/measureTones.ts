import type { Baseband } from "./baseband.ts";
import { energyBetween, toneSums } from "./tones.ts";

/** Offsets tried around what the detector used, as shares of the symbol rate. */
const OFFSETS = [-0.5, -0.375, -0.25, -0.125, 0, 0.125, 0.25, 0.375, 0.5];

/**
 * Measures the two frequencies of FSK, relative to the baseband's zero, from the symbols that were decided: each is a stretch of one pure tone.
 *
 * @param start Element of the baseband at which the first symbol starts.
 * @param period Elements a symbol.
 * @param symbols One each, 0 or 1.
 * @param highHz Where the frequency of a 1 was looked for, and `lowHz` that of a 0.
 */
export function measureTones(
  base: Baseband,
  start: number,
  period: number,
  symbols: Uint8Array,
  highHz: number,
  lowHz: number,
): { highHz: number; lowHz: number } {
  const peak = (around: number, state: number) => {
    const rate = base.rateHz / period;
    const energies = OFFSETS.map((offset) => {
      const tone = toneSums(base, around + offset * rate);
      let sum = 0;
      for (let j = 0; j < symbols.length; j++) {
        if (symbols[j] === state) sum += energyBetween(tone, start + j * period, start + (j + 1) * period);
      }
      return sum;
    });
    const best = energies.reduce((at, energy, i) => (energy > energies[at]! ? i : at), 0);
    if (best === 0 || best === OFFSETS.length - 1) return around;
    const before = energies[best - 1]!;
    const after = energies[best + 1]!;
    const bend = before - 2 * energies[best]! + after;
    const shift = bend < 0 ? (0.5 * (before - after)) / bend : 0;
    return around + (OFFSETS[best]! + shift * (OFFSETS[1]! - OFFSETS[0]!)) * rate;
  };
  return { highHz: peak(highHz, 1), lowHz: peak(lowHz, 0) };
}
