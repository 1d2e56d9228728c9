import type { WordSymbols } from "../linecode/lineCode.ts";

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

/** Cells of the search at most; past that only frames near the best one so far are followed. */
const MOST_CELLS = 16_000_000;

/** Scores nearer than this are the same, but for rounding. */
const TIE = 1e-6;

/**
 * The most likely frame of `bitCount` bits by dynamic programming over position and level.
 *
 * Where one pulse begins like the other and ends in silence, the last bit may be either: both frames come back, and
 * only a check can tell.
 *
 * @param evidence ln(P(1)/P(0)) of each symbol. Symbols past its end count as unknown.
 * @param level The symbol before the first bit.
 * @source Viterbi 1967.
 */
export function likeliestFrames(
  evidence: Float64Array,
  words: WordSymbols,
  level: 0 | 1,
  bitCount: number,
): LikeliestFrame[] {
  const lengths = words.flat().map((word) => word.length);
  const shortest = Math.min(...lengths);
  const longest = Math.max(...lengths);
  // State after k bits: how many symbols beyond the least were used, counted from `offset[k]`, and the last symbol.
  const spread = (longest - shortest) * bitCount + 1;
  const width = Math.min(spread, Math.max(64, Math.floor(MOST_CELLS / bitCount)));
  const states = 2 * width;
  let score = new Float64Array(states).fill(Number.NEGATIVE_INFINITY);
  let next = new Float64Array(states);
  score[level] = 0;
  // For each bit and state: the bit and the level before it.
  const back = new Uint8Array(states * bitCount);
  const offset = new Int32Array(bitCount + 1);
  for (let k = 0; k < bitCount; k++) {
    next.fill(Number.NEGATIVE_INFINITY);
    const here = offset[k]!;
    const there = width === spread ? 0 : Math.max(0, here + (bestState(score) >> 1) - (width >> 1));
    offset[k + 1] = there;
    for (let cell = 0; cell < width; cell++) {
      const at = k * shortest + here + cell;
      for (let before = 0; before < 2; before++) {
        const value = score[2 * cell + before]!;
        if (value === Number.NEGATIVE_INFINITY) continue;
        for (let bit = 0; bit < 2; bit++) {
          const word = words[before]![bit]!;
          const target = here + cell + word.length - shortest - there;
          if (target < 0 || target >= width) continue;
          const state = 2 * target + word[word.length - 1]!;
          const reached = value + wordScore(evidence, at, word);
          if (reached > next[state]!) {
            next[state] = reached;
            back[k * states + state] = 2 * before + bit;
          }
        }
      }
    }
    [score, next] = [next, score];
  }
  const last = offset[bitCount]!;
  if (longest > shortest) {
    // Frames of different length must answer for the same symbols: what follows the shorter ones is silence.
    const quiet = silences(evidence, bitCount * shortest + last, width);
    for (let state = 0; state < states; state++) score[state] = score[state]! + quiet[state >> 1]!;
  }
  const most = score[bestState(score)]!;
  const ends: number[] = [];
  // Of frames that end at the same place the level decides nothing.
  score.forEach((value, state) => {
    if (value >= most - TIE && !ends.some((other) => other >> 1 === state >> 1)) ends.push(state);
  });
  return ends.map((end) => trace(evidence, words, back, offset, states, shortest, bitCount, end));
}

function bestState(score: Float64Array): number {
  let best = 0;
  for (let state = 1; state < score.length; state++) if (score[state]! > score[best]!) best = state;
  return best;
}

/** Half of what the evidence says for a word at a place, less half of what it says against it. */
export function wordScore(evidence: Float64Array, at: number, word: Uint8Array): number {
  let sum = 0;
  for (let j = 0; j < word.length; j++) {
    const e = at + j < evidence.length ? evidence[at + j]! : 0;
    sum += word[j] ? e / 2 : -e / 2;
  }
  return sum;
}

/** Evidence that nothing is sent from `first`, `first` + 1, … on. */
function silences(evidence: Float64Array, first: number, count: number): Float64Array {
  const out = new Float64Array(count);
  let sum = 0;
  for (let j = evidence.length - 1; j >= first; j--) {
    sum -= evidence[j]! / 2;
    if (j - first < count) out[j - first] = sum;
  }
  return out;
}

function trace(
  evidence: Float64Array,
  words: readonly (readonly Uint8Array[])[],
  back: Uint8Array,
  offset: Int32Array,
  states: number,
  shortest: number,
  bitCount: number,
  last: number,
): LikeliestFrame {
  const bits = new Uint8Array(bitCount);
  const starts = new Uint32Array(bitCount + 1);
  const end = bitCount * shortest + offset[bitCount]! + (last >> 1);
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
    state = 2 * (at - k * shortest - offset[k]!) + before;
  }
  const against: number[] = [];
  for (let j = 0; j < end; j++) {
    const e = j < evidence.length ? evidence[j]! : 0;
    if (e !== 0 && e > 0 !== (symbols[j] === 1)) against.push(j);
  }
  return { bits, starts, symbols, against };
}
