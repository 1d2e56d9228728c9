/**
 * The two-sided p of Fisher's exact test: whether two shares differ, by all tables with the same sums.
 *
 * @param a, b Of the first sample those that are so, and those that are not. @param c, d Of the second.
 * @returns The chance of a table as unlikely as this one or less.
 * @throws RangeError for a count that is not whole or below 0.
 * @source R. A. Fisher, Statistical Methods for Research Workers; two-sided by the chances of the tables, as R has it
 *   (both from memory).
 */
export function fisherExact(a: number, b: number, c: number, d: number): number {
  for (const count of [a, b, c, d]) {
    if (!(Number.isInteger(count) && count >= 0)) throw new RangeError(`a count must be whole, from 0, got ${count}`);
  }
  const least = Math.max(0, a - d);
  const most = Math.min(a + b, a + c);
  // Logarithms of each chance by the one before: the chances themselves may be too small for numbers.
  const lnChances = [0];
  for (let x = least; x < most; x++) {
    const step = ((a + b - x) * (a + c - x)) / ((x + 1) * (d - a + x + 1));
    lnChances.push(lnChances.at(-1)! + Math.log(step));
  }
  const top = lnChances.reduce((largest, one) => Math.max(largest, one), 0);
  const chances = lnChances.map((one) => Math.exp(one - top));
  // Tables just as likely must not be left out for rounding.
  const limit = chances[a - least]! * (1 + 1e-7);
  const asUnlikely = chances.reduce((sum, chance) => (chance <= limit ? sum + chance : sum), 0);
  return Math.min(1, asUnlikely / chances.reduce((sum, chance) => sum + chance, 0));
}
