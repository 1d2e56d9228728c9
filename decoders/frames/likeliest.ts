import type { LineCode } from "../linecode/lineCode.ts";

/** The frame that obeys the line code and fits the evidence best. */
export interface LikeliestFrame {
  /** One on-air bit each, before any whitening is taken off. */
  readonly bits: Uint8Array;
  /** Index of each bit's first symbol; one more at the end, where the frame ends. */
  readonly starts: Uint32Array;
  /** The symbols that these bits stand for. */
  readonly symbols: Uint8Array;
  /** Symbols whose own evidence says otherwise, ascending. */
  readonly against: readonly number[];
}

/** Past this many cells the words' lengths are taken greedily; only huge frames of pulses of two lengths get there. */
const MOST_CELLS = 4_000_000;

/**
 * The most likely frame of `bitCount` bits by dynamic programming over position and level.
 *
 * @param evidence ln(P(1)/P(0)) of each symbol. Symbols past its end count as unknown.
 * @param level The symbol before the first bit.
 * @source Viterbi 1967.
 */
export function likeliestFrame(evidence: Float64Array, code: LineCode, level: 0 | 1, bitCount: number): LikeliestFrame {
  const words = code.words.map((after) => [toSymbols(after.zero), toSymbols(after.one)]);
  const lengths = words.flat().map((word) => word.length);
  const shortest = Math.min(...lengths);
  const longest = Math.max(...lengths);
  const spread = (longest - shortest) * bitCount + 1;
  if (spread * bitCount > MOST_CELLS)
    throw new RangeError(`a frame of ${bitCount} bits of ${shortest} to ${longest} symbols is too long`);

  // State after k bits: how many symbols beyond the least were used, and the last symbol.
  const states = 2 * spread;
  let score = new Float64Array(states).fill(Number.NEGATIVE_INFINITY);
  let next = new Float64Array(states);
  score[level] = 0;
  // For each bit and state: the bit and the level before it, or 255 where it cannot be reached.
  const back = new Uint8Array(states * bitCount).fill(255);
  for (let k = 0; k < bitCount; k++) {
    next.fill(Number.NEGATIVE_INFINITY);
    const reach = Math.min(spread, (longest - shortest) * k + 1);
    for (let extra = 0; extra < reach; extra++) {
      const at = k * shortest + extra;
      for (let before = 0; before < 2; before++) {
        const here = score[2 * extra + before]!;
        if (here === Number.NEGATIVE_INFINITY) continue;
        for (let bit = 0; bit < 2; bit++) {
          const word = words[before]![bit]!;
          let value = here;
          for (let j = 0; j < word.length; j++) {
            const e = at + j < evidence.length ? evidence[at + j]! : 0;
            value += word[j] ? e / 2 : -e / 2;
          }
          const state = 2 * (extra + word.length - shortest) + word[word.length - 1]!;
          if (value > next[state]!) {
            next[state] = value;
            back[k * states + state] = 2 * before + bit;
          }
        }
      }
    }
    [score, next] = [next, score];
  }

  const endsEarly = longest > shortest;
  let best = 0;
  let most = Number.NEGATIVE_INFINITY;
  for (let state = 0; state < states; state++) {
    if (score[state] === Number.NEGATIVE_INFINITY) continue;
    // Frames of different length must answer for the same symbols: what follows the shorter ones is silence.
    const value = score[state]! + (endsEarly ? silence(evidence, bitCount * shortest + (state >> 1)) : 0);
    if (value > most) {
      most = value;
      best = state;
    }
  }
  return trace(evidence, words, back, states, shortest, bitCount, best);
}

/** Evidence that nothing is sent from here on. */
function silence(evidence: Float64Array, from: number): number {
  let sum = 0;
  for (let j = from; j < evidence.length; j++) sum -= evidence[j]! / 2;
  return sum;
}

function trace(
  evidence: Float64Array,
  words: readonly (readonly Uint8Array[])[],
  back: Uint8Array,
  states: number,
  shortest: number,
  bitCount: number,
  last: number,
): LikeliestFrame {
  const bits = new Uint8Array(bitCount);
  const starts = new Uint32Array(bitCount + 1);
  const end = bitCount * shortest + (last >> 1);
  const symbols = new Uint8Array(end);
  starts[bitCount] = end;
  let state = last;
  for (let k = bitCount - 1; k >= 0; k--) {
    const step = back[k * states + state]!;
    const before = step >> 1;
    const word = words[before]![step & 1]!;
    bits[k] = step & 1;
    const at = starts[k + 1]! - word.length;
    starts[k] = at;
    symbols.set(word, at);
    state = 2 * (at - k * shortest) + before;
  }
  const against: number[] = [];
  for (let j = 0; j < end; j++) {
    const e = j < evidence.length ? evidence[j]! : 0;
    if (e !== 0 && e > 0 !== (symbols[j] === 1)) against.push(j);
  }
  return { bits, starts, symbols, against };
}

export function toSymbols(word: string): Uint8Array {
  return Uint8Array.from(word, (c) => (c === "1" ? 1 : 0));
}
