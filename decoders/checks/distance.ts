import type { CheckColumns } from "./columns.ts";

/** How many wrong bits a check may miss at the least, and in how many ways, or a bound where counting stops. */
export type MinimumDistance =
  | { readonly distance: number; readonly count: number }
  | { readonly distanceAtLeast: number };

/**
 * The smallest number of flipped bits that a check does not notice, and how many such sets of bits there are.
 *
 * Counted for up to six bits by meeting in the middle: a set of six passes unnoticed when three of its columns add up
 * to the same as the other three. Beyond 200 bits it stops at four.
 *
 * @param columns Of a CRC, xor or parity. Bits whose column is 0 play no part.
 * @throws RangeError for the group `add`: there it depends on the bits which flips are noticed.
 */
export function minimumDistance(columns: CheckColumns): MinimumDistance {
  if (columns.group !== "xor") throw new RangeError(`group must be xor, got ${columns.group}`);
  const single = sums(columns, 1);
  // As no fewer bits cancel, the two halves of a set never share a bit, and each set is found once for every way to
  // cut it in two.
  if (single.length < 2) return { distanceAtLeast: 2 };
  const two = equalPairs(single);
  if (two > 0) return { distance: 2, count: two };
  const double = sums(columns, 2);
  const three = matches(single, double) / 3;
  if (three > 0) return { distance: 3, count: three };
  const four = equalPairs(double) / 3;
  if (four > 0) return { distance: 4, count: four };
  if (single.length > 200) return { distanceAtLeast: 5 };
  const triple = sums(columns, 3);
  const five = matches(double, triple) / 10;
  if (five > 0) return { distance: 5, count: five };
  const six = equalPairs(triple) / 10;
  return six > 0 ? { distance: 6, count: six } : { distanceAtLeast: 7 };
}

/** What every choice of `size` different bits adds up to, ascending. */
function sums(columns: CheckColumns, size: 1 | 2 | 3): BigUint64Array {
  const places = [...columns.low.keys()].filter((i) => columns.low[i] !== 0 || columns.high[i] !== 0);
  const low = Uint32Array.from(places, (i) => columns.low[i]!);
  const high = Uint32Array.from(places, (i) => columns.high[i]!);
  const n = places.length;
  const count = size === 1 ? n : size === 2 ? (n * (n - 1)) / 2 : (n * (n - 1) * (n - 2)) / 6;
  // Written as halves, read as 64 bits; which half is the higher does not matter to telling equal from unequal.
  const words = new Uint32Array(2 * count);
  let at = 0;
  const put = (lowWord: number, highWord: number) => {
    words[at++] = lowWord;
    words[at++] = highWord;
  };
  for (let a = 0; a < n; a++) {
    if (size === 1) put(low[a]!, high[a]!);
    else {
      for (let b = a + 1; b < n; b++) {
        const lowPair = low[a]! ^ low[b]!;
        const highPair = high[a]! ^ high[b]!;
        if (size === 2) put(lowPair, highPair);
        else for (let c = b + 1; c < n; c++) put(lowPair ^ low[c]!, highPair ^ high[c]!);
      }
    }
  }
  return new BigUint64Array(words.buffer).sort();
}

/** Pairs of equal entries in an ascending row. */
function equalPairs(row: BigUint64Array): number {
  let pairs = 0;
  for (let start = 0; start < row.length; ) {
    const end = runEnd(row, start);
    pairs += ((end - start) * (end - start - 1)) / 2;
    start = end;
  }
  return pairs;
}

/** Pairs of an entry of one ascending row and an equal one of another. */
function matches(row: BigUint64Array, other: BigUint64Array): number {
  let pairs = 0;
  let start = 0;
  let otherStart = 0;
  while (start < row.length && otherStart < other.length) {
    if (row[start]! < other[otherStart]!) start++;
    else if (row[start]! > other[otherStart]!) otherStart++;
    else {
      const end = runEnd(row, start);
      const otherEnd = runEnd(other, otherStart);
      pairs += (end - start) * (otherEnd - otherStart);
      start = end;
      otherStart = otherEnd;
    }
  }
  return pairs;
}

function runEnd(row: BigUint64Array, start: number): number {
  let end = start + 1;
  while (end < row.length && row[end] === row[start]) end++;
  return end;
}
