import type { Baseband } from "./baseband.ts";
import { sumUpTo, toneSums } from "./tones.ts";

/** Offsets tried around what the detector used, as shares of the symbol rate. */
const OFFSETS = [-0.5, -0.375, -0.25, -0.125, 0, 0.125, 0.25, 0.375, 0.5];
/** Pieces of a symbol that are put together at each of these. */
const PIECES = 4;

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
  const rate = base.rateHz / period;
  const peak = (around: number, state: number) => {
    const energies = energiesAround(base, start, period, symbols, around, state);
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

/** Energy of the symbols of one state at each offset from `hz`. */
function energiesAround(
  base: Baseband,
  start: number,
  period: number,
  symbols: Uint8Array,
  hz: number,
  state: number,
): Float64Array {
  const tone = toneSums(base, hz);
  const re = new Float64Array(PIECES);
  const im = new Float64Array(PIECES);
  const energies = new Float64Array(OFFSETS.length);
  const turns = OFFSETS.map(pieceTurns);
  for (let j = 0; j < symbols.length; j++) {
    if (symbols[j] !== state) continue;
    let fromRe = sumUpTo(tone.re, start + j * period);
    let fromIm = sumUpTo(tone.im, start + j * period);
    for (let piece = 0; piece < PIECES; piece++) {
      const to = start + (j + (piece + 1) / PIECES) * period;
      const toRe = sumUpTo(tone.re, to);
      const toIm = sumUpTo(tone.im, to);
      re[piece] = toRe - fromRe;
      im[piece] = toIm - fromIm;
      fromRe = toRe;
      fromIm = toIm;
    }
    for (let o = 0; o < energies.length; o++) {
      const { cos, sin } = turns[o]!;
      let sumRe = 0;
      let sumIm = 0;
      for (let piece = 0; piece < PIECES; piece++) {
        sumRe += re[piece]! * cos[piece]! - im[piece]! * sin[piece]!;
        sumIm += re[piece]! * sin[piece]! + im[piece]! * cos[piece]!;
      }
      energies[o] = energies[o]! + sumRe * sumRe + sumIm * sumIm;
    }
  }
  return energies;
}

/** What turns the middle of each piece of a symbol to an offset. */
function pieceTurns(offset: number): { cos: Float64Array; sin: Float64Array } {
  const cos = new Float64Array(PIECES);
  const sin = new Float64Array(PIECES);
  for (let piece = 0; piece < PIECES; piece++) {
    const turn = (-2 * Math.PI * offset * (piece + 0.5)) / PIECES;
    cos[piece] = Math.cos(turn);
    sin[piece] = Math.sin(turn);
  }
  return { cos, sin };
}
