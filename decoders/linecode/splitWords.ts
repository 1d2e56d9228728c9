import type { DecodedSymbols, Words } from "./lineCode.ts";

/**
 * Bits from symbols when the words of 0 and 1 differ in length: the row of words that differs from the symbols in the
 * fewest places, found by dynamic programming, since with such words one wrong symbol moves all that follow.
 *
 * @param symbols One symbol each, 0 or 1. Not modified.
 * @param bitCount How many bits to take. If it is more than fit, then as many as explain the symbols best, where each
 *   symbol left at the end counts as one that differs; and never more than the 4,096 of the longest frame.
 */
export function splitWords(words: Words, symbols: Uint8Array, bitCount: number): DecodedSymbols {
  const { zero, one } = words;
  const shortest = Math.min(zero.length, one.length);
  const limit = Math.min(bitCount, Math.floor(symbols.length / shortest), 4096);
  const exact = limit === bitCount;
  const atZero = differences(zero, symbols);
  const atOne = differences(one, symbols);
  // After `k` bits of which `j` are ones the place in the symbols is known, so a state is (k, j).
  const placeOf = (k: number, j: number) => k * zero.length + j * (one.length - zero.length);

  const cameBy: Uint8Array[] = []; // [k - 1][j]: the last of these k bits
  let costs = Float64Array.of(0);
  let best = { k: 0, j: 0, cost: exact && limit > 0 ? Number.POSITIVE_INFINITY : symbols.length };
  for (let k = 1; k <= limit; k++) {
    const next = new Float64Array(k + 1).fill(Number.POSITIVE_INFINITY);
    const bit = new Uint8Array(k + 1);
    for (let j = 0; j < k; j++) {
      const cost = costs[j]!;
      if (cost === Number.POSITIVE_INFINITY) continue;
      const place = placeOf(k - 1, j);
      const withZero = cost + (atZero[place] ?? Number.POSITIVE_INFINITY);
      if (withZero < next[j]!) {
        next[j] = withZero;
        bit[j] = 0;
      }
      const withOne = cost + (atOne[place] ?? Number.POSITIVE_INFINITY);
      if (withOne < next[j + 1]!) {
        next[j + 1] = withOne;
        bit[j + 1] = 1;
      }
    }
    cameBy.push(bit);
    costs = next;
    if (exact && k < limit) continue;
    for (let j = 0; j <= k; j++) {
      const cost = costs[j]! + (exact ? 0 : symbols.length - placeOf(k, j));
      // Where one word is the beginning of the other the last bit may be read both ways: take the longer.
      const longer = exact && cost === best.cost && placeOf(k, j) > placeOf(best.k, best.j);
      if (cost < best.cost || longer) best = { k, j, cost };
    }
  }
  return traced(best.k, best.j, cameBy, atZero, atOne, placeOf);
}

/** How many symbols differ from a word's, for each place where the whole word still fits. */
function differences(word: string, symbols: Uint8Array): Float64Array {
  const count = new Float64Array(Math.max(0, symbols.length - word.length + 1));
  for (let place = 0; place < count.length; place++) {
    for (let i = 0; i < word.length; i++) if (Number(word[i]) !== symbols[place + i]) count[place]!++;
  }
  return count;
}

function traced(
  k: number,
  j: number,
  cameBy: readonly Uint8Array[],
  atZero: Float64Array,
  atOne: Float64Array,
  placeOf: (k: number, j: number) => number,
): DecodedSymbols {
  const bits = new Uint8Array(k);
  const brokenAt: number[] = [];
  const used = placeOf(k, j);
  let ones = j;
  for (let i = k - 1; i >= 0; i--) {
    const bit = cameBy[i]![ones]!;
    bits[i] = bit;
    ones -= bit;
    if ((bit === 1 ? atOne : atZero)[placeOf(i, ones)]! > 0) brokenAt.unshift(i);
  }
  return { bits, brokenAt, used };
}
