// Polynomials over GF(2) in 32-bit words, lowest power first: bit k of word j is the coefficient of x^(32 j + k). Rows of
// bits use the same words. Kept apart from BigInt because a search takes hundreds of thousands of greatest common divisors.

/** Words that hold so many bits. */
export function wordsFor(bitCount: number): number {
  return (bitCount + 31) >>> 5;
}

/** A row of bits as a polynomial: the last bit is the coefficient of x^0. */
export function polynomialOf(bits: Uint8Array): Uint32Array {
  const words = new Uint32Array(wordsFor(bits.length));
  for (let i = 0; i < bits.length; i++) {
    const power = bits.length - 1 - i;
    if (bits[i] === 1) words[power >>> 5]! |= 1 << (power & 31);
  }
  return words;
}

/** The highest power; -1 of zero. @param top No power above it is set. */
export function degreeOf(words: Uint32Array, top: number = 32 * words.length - 1): number {
  for (let j = Math.min(words.length - 1, top >>> 5); j >= 0; j--) {
    const word = words[j]!;
    if (word !== 0) return 32 * j + 31 - Math.clz32(word);
  }
  return -1;
}

/** The lowest power; -1 of zero. */
function lowestPower(words: Uint32Array): number {
  for (let j = 0; j < words.length; j++) {
    const word = words[j]!;
    if (word !== 0) return 32 * j + 31 - Math.clz32(word & -word);
  }
  return -1;
}

/** Takes the remainder by `divisor` in place. @param degree Of `divisor`, from 0. @returns The degree of what is left. */
export function reduce(words: Uint32Array, degreeBefore: number, divisor: Uint32Array, degree: number): number {
  let top = degreeBefore;
  while (top >= degree) {
    addShifted(words, divisor, degree, top - degree);
    top = degreeOf(words, top);
  }
  return top;
}

function addShifted(words: Uint32Array, other: Uint32Array, degree: number, shift: number): void {
  const far = shift >>> 5;
  const near = shift & 31;
  const count = (degree >>> 5) + 1;
  if (near === 0) {
    for (let j = 0; j < count; j++) words[far + j]! ^= other[j]!;
    return;
  }
  let carried = 0;
  for (let j = 0; j < count; j++) {
    const word = other[j]!;
    words[far + j]! ^= (word << near) | carried;
    carried = word >>> (32 - near);
  }
  if (carried !== 0) words[far + count]! ^= carried;
}

/**
 * The greatest common divisor; both are used up. It is left in the one that is given back.
 *
 * @returns The divisor and its degree; that of two zeros is zero, degree -1.
 * @source Euclid's algorithm, as any textbook of coding has it for polynomials over GF(2).
 */
export function greatestDivisor(
  a: Uint32Array,
  b: Uint32Array,
): { readonly words: Uint32Array; readonly degree: number } {
  let [high, low] = [a, b];
  let highDegree = degreeOf(high);
  let lowDegree = degreeOf(low);
  if (highDegree < lowDegree) {
    [high, low] = [low, high];
    [highDegree, lowDegree] = [lowDegree, highDegree];
  }
  while (lowDegree >= 0) {
    const left = reduce(high, highDegree, low, lowDegree);
    [high, low] = [low, high];
    highDegree = lowDegree;
    lowDegree = left;
  }
  return { words: high, degree: highDegree };
}

/** Divides out every factor x, in place. @returns The degree of what is left. */
export function withoutPowersOfX(words: Uint32Array): number {
  const lowest = lowestPower(words);
  if (lowest <= 0) return degreeOf(words);
  const far = lowest >>> 5;
  const near = lowest & 31;
  for (let j = 0; j < words.length; j++) {
    const here = words[j + far] ?? 0;
    const next = words[j + far + 1] ?? 0;
    words[j] = near === 0 ? here : (here >>> near) | (next << (32 - near));
  }
  return degreeOf(words);
}

/** As a number with the highest term in it, such as 0x107n. */
export function numberOf(words: Uint32Array): bigint {
  let value = 0n;
  for (let j = words.length - 1; j >= 0; j--) value = (value << 32n) | BigInt(words[j]!);
  return value;
}

/**
 * How many of these rows are independent.
 *
 * @param rows Of the same number of words. Not modified.
 */
export function rankOf(rows: readonly Uint32Array[]): number {
  return echelon(rows).length;
}

/** Rows that span the same space, each with a highest power that no other has. */
function echelon(rows: readonly Uint32Array[]): readonly Uint32Array[] {
  const byDegree = new Map<number, Uint32Array>();
  for (const row of rows) {
    const left = row.slice();
    for (let degree = degreeOf(left); degree >= 0; degree = degreeOf(left, degree)) {
      const other = byDegree.get(degree);
      if (!other) {
        byDegree.set(degree, left);
        break;
      }
      for (let j = 0; j < left.length; j++) left[j]! ^= other[j]!;
    }
  }
  return [...byDegree.values()];
}

/** Irreducible factors of small degree are looked for by division; what is left beyond that is given as one factor. */
const MOST_FACTOR_DEGREE = 10;

/**
 * The irreducible factors, those up to degree 10 apart, each as often as it divides.
 *
 * @param value Not 0.
 */
export function factorsOf(value: bigint): readonly bigint[] {
  const factors: bigint[] = [];
  let left = value;
  for (let factor = 2n; degree(factor) <= MOST_FACTOR_DEGREE && 2 * degree(factor) <= degree(left); factor++) {
    // Any divisor found here is irreducible: its own factors were divided out before.
    for (let quotient = exactQuotient(left, factor); quotient !== undefined; quotient = exactQuotient(left, factor)) {
      factors.push(factor);
      left = quotient;
    }
  }
  return left === 1n ? factors : [...factors, left];
}

/** Products of the factors with a degree in the range, each once. */
export function divisorsOf(factors: readonly bigint[], least: number, most: number): readonly bigint[] {
  let products = new Set([1n]);
  for (const factor of factors) {
    const more = [...products].map((one) => product(one, factor)).filter((one) => degree(one) <= most);
    products = new Set([...products, ...more]);
    if (products.size > MOST_DIVISORS) break;
  }
  return [...products].filter((one) => degree(one) >= least);
}

const MOST_DIVISORS = 4096;

function degree(value: bigint): number {
  return value.toString(2).length - 1;
}

function product(a: bigint, b: bigint): bigint {
  let sum = 0n;
  for (let i = 0n, left = b; left > 0n; i++, left >>= 1n) if (left & 1n) sum ^= a << i;
  return sum;
}

function exactQuotient(value: bigint, divisor: bigint): bigint | undefined {
  const by = degree(divisor);
  let left = value;
  let quotient = 0n;
  while (left > 0n && degree(left) >= by) {
    const shift = BigInt(degree(left) - by);
    left ^= divisor << shift;
    quotient |= 1n << shift;
  }
  return left === 0n ? quotient : undefined;
}
