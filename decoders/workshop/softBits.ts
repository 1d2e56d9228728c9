import { type LineCode, wordSymbols } from "../linecode/lineCode.ts";

/** Bits out of symbols that are known with more or less certainty. */
export interface SoftBits {
  /** One bit each. */
  readonly bits: Uint8Array;
  /** ln(P(1)/P(0)) of each; about, since of all frames only the likeliest with it and the likeliest without count. */
  readonly evidence: Float32Array;
}

/** Nats against a symbol where nothing was sent. */
const NOTHING = 3;

/**
 * The likeliest frame, and of each bit how much likelier it is than the likeliest frame with that bit turned. What two
 * symbols say together of a bit is more than either says, and one that is wrong is mostly known to be doubtful.
 *
 * @param evidence ln(P(1)/P(0)) of each symbol; past its end there is neither.
 * @param level The symbol before the first bit.
 * @source G. D. Forney, The Viterbi algorithm, Proc. IEEE 61(3), 1973; forwards and backwards it gives each bit's
 *   margin (from memory).
 */
export function softBits(evidence: Float32Array, code: LineCode, level: 0 | 1, bitCount: number): SoftBits {
  const words = wordSymbols(code);
  const lengths = words.flat().map((word) => word.length);
  const shortest = Math.min(...lengths);
  const spread = (Math.max(...lengths) - shortest) * bitCount + 1;
  // State: symbols beyond the least that were used so far, and the symbol before.
  const width = 2 * spread;
  const ahead = new Float64Array((bitCount + 1) * width).fill(Number.NEGATIVE_INFINITY);
  const behind = new Float64Array((bitCount + 1) * width).fill(Number.NEGATIVE_INFINITY);
  const score = (at: number, word: Uint8Array) => {
    let sum = 0;
    for (let j = 0; j < word.length; j++) {
      if (at + j >= evidence.length) sum -= NOTHING;
      else sum += word[j] === 1 ? evidence[at + j]! / 2 : -evidence[at + j]! / 2;
    }
    return sum;
  };
  ahead[level] = 0;
  for (let k = 0; k < bitCount; k++) {
    for (let state = 0; state < width; state++) {
      const value = ahead[k * width + state]!;
      if (value === Number.NEGATIVE_INFINITY) continue;
      for (const word of words[state & 1]!) {
        const to = (k + 1) * width + 2 * ((state >> 1) + word.length - shortest) + word.at(-1)!;
        ahead[to] = Math.max(ahead[to]!, value + score(k * shortest + (state >> 1), word));
      }
    }
  }
  behind.fill(0, bitCount * width);
  const bits = new Uint8Array(bitCount);
  const margins = new Float32Array(bitCount);
  for (let k = bitCount - 1; k >= 0; k--) {
    const best = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (let state = 0; state < width; state++) {
      const value = ahead[k * width + state]!;
      if (value === Number.NEGATIVE_INFINITY) continue;
      for (const [bit, word] of words[state & 1]!.entries()) {
        const to = (k + 1) * width + 2 * ((state >> 1) + word.length - shortest) + word.at(-1)!;
        const rest = score(k * shortest + (state >> 1), word) + behind[to]!;
        behind[k * width + state] = Math.max(behind[k * width + state]!, rest);
        best[bit] = Math.max(best[bit]!, value + rest);
      }
    }
    margins[k] = best[1]! - best[0]!;
    bits[k] = Number(margins[k]! > 0);
  }
  return { bits, evidence: margins };
}
