/**
 * The chance of every count U of pairs in which the one is above the other, when both samples come from one source.
 *
 * @param m, n Values in either sample, whole, from 1; up to 40 each it takes some milliseconds.
 * @returns Length m n + 1, by U from 0; 1 in sum.
 * @throws RangeError for other counts.
 * @source H. B. Mann, D. R. Whitney, Ann. Math. Statist. 18, 1947: the recursion by whose value is the largest.
 */
export function rankSumChances(m: number, n: number): Float64Array {
  for (const count of [m, n]) {
    if (!(Number.isInteger(count) && count >= 1))
      throw new RangeError(`a sample must be one value or more, got ${count}`);
  }
  // Row by row for samples of i and 0 to n values; chances, not counts, which would outgrow whole numbers.
  let row = Array.from({ length: n + 1 }, () => Float64Array.of(1));
  for (let i = 1; i <= m; i++) {
    const next = [Float64Array.of(1)];
    for (let j = 1; j <= n; j++) {
      const chances = new Float64Array(i * j + 1);
      // The largest is of the first sample, and above all j of the second; or it is of the second.
      for (const [u, chance] of row[j]!.entries()) chances[u + j]! += (chance * i) / (i + j);
      for (const [u, chance] of next[j - 1]!.entries()) chances[u]! += (chance * j) / (i + j);
      next.push(chances);
    }
    row = next;
  }
  return row[n]!;
}
