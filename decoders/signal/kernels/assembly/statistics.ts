// What the ear asks about rows of power, four channels to a vector. A row has n floats, n a multiple of 16.

/**
 * In each channel the value of that rank (0 the smallest) among all rows, its bits below `lowestBit` cut off. Positive
 * floats are ordered as their bits are, so the value is found bit by bit from the top. Values are at least 0.
 */
export function ranked(p: usize, rows: i32, n: usize, rank: i32, lowestBit: i32, out: usize): void {
  const stride = n * 4;
  const want = i32x4.splat(rank);
  for (let c: usize = 0; c < stride; c += 64) {
    let a0 = i32x4.splat(0), a1 = a0, a2 = a0, a3 = a0;
    for (let b = 30; b >= lowestBit; b--) {
      const bit = i32x4.splat(1 << b);
      const t0 = v128.or(a0, bit), t1 = v128.or(a1, bit), t2 = v128.or(a2, bit), t3 = v128.or(a3, bit);
      let n0 = i32x4.splat(0), n1 = n0, n2 = n0, n3 = n0;
      let q = p + c;
      for (let r = 0; r < rows; r++, q += stride) {
        n0 = i32x4.sub(n0, i32x4.lt_s(v128.load(q), t0));
        n1 = i32x4.sub(n1, i32x4.lt_s(v128.load(q, 16), t1));
        n2 = i32x4.sub(n2, i32x4.lt_s(v128.load(q, 32), t2));
        n3 = i32x4.sub(n3, i32x4.lt_s(v128.load(q, 48), t3));
      }
      a0 = v128.or(a0, v128.and(bit, i32x4.le_s(n0, want)));
      a1 = v128.or(a1, v128.and(bit, i32x4.le_s(n1, want)));
      a2 = v128.or(a2, v128.and(bit, i32x4.le_s(n2, want)));
      a3 = v128.or(a3, v128.and(bit, i32x4.le_s(n3, want)));
    }
    v128.store(out + c, a0);
    v128.store(out + c, a1, 16);
    v128.store(out + c, a2, 32);
    v128.store(out + c, a3, 48);
  }
}

// @ts-ignore: decorator
@inline
function greatest(x: v128): f32 {
  const a = f32x4.max(x, i32x4.shuffle(x, x, 2, 3, 0, 1));
  return f32x4.extract_lane(f32x4.max(a, i32x4.shuffle(a, a, 1, 0, 3, 2)), 0);
}

/** Sum of four rows, over the level. */
// @ts-ignore: decorator
@inline
function over(q: usize, stride: usize, inverse: usize): v128 {
  const sum = f32x4.add(
    f32x4.add(v128.load(q), v128.load(q + stride)),
    f32x4.add(v128.load(q + 2 * stride), v128.load(q + 3 * stride)),
  );
  return f32x4.mul(sum, v128.load(inverse));
}

/**
 * For each row from the fourth on: the greatest sum of four rows in one channel times `inverse` of that channel, and
 * the greatest of such sums over one, two and four neighbouring channels, each over its own threshold.
 *
 * @param inverse n floats. @param out Two floats a row; three rows are left as they are.
 */
export function peaks(
  p: usize,
  rows: i32,
  n: usize,
  inverse: usize,
  over1: f32,
  over2: f32,
  over4: f32,
  out: usize,
): void {
  const stride = n * 4;
  out += 24;
  for (let r = 3; r < rows; r++, p += stride, out += 8) {
    let best1 = f32x4.splat(0), best2 = best1, best4 = best1;
    let here = over(p, stride, inverse);
    // Past the last channel stand zeros, and a sum that reaches there is a part of one that does not.
    for (let c: usize = 16; c <= stride; c += 16) {
      const next = c < stride ? over(p + c, stride, inverse + c) : f32x4.splat(0);
      const pair = f32x4.add(here, i32x4.shuffle(here, next, 1, 2, 3, 4));
      const others = f32x4.add(i32x4.shuffle(here, next, 2, 3, 4, 5), i32x4.shuffle(here, next, 3, 4, 5, 6));
      best1 = f32x4.pmax(best1, here);
      best2 = f32x4.pmax(best2, pair);
      best4 = f32x4.pmax(best4, f32x4.add(pair, others));
      here = next;
    }
    const strongest = greatest(best1);
    store<f32>(out, strongest);
    store<f32>(out + 4, max<f32>(strongest * over1, max<f32>(greatest(best2) * over2, greatest(best4) * over4)));
  }
}

/**
 * For each four rows from the fourth such on: the greatest sum, over its threshold, of sixteen rows that end there over
 * one, two or four neighbouring channels, each channel times its `inverse`.
 *
 * @param blocks Room for rows/4 rows. @param out One float for each four rows; the first three are left as they are.
 */
export function longPeaks(
  p: usize,
  rows: i32,
  n: usize,
  inverse: usize,
  over1: f32,
  over2: f32,
  over4: f32,
  blocks: usize,
  out: usize,
): void {
  const stride = n * 4;
  const one = f32x4.splat(over1), two = f32x4.splat(over2), four = f32x4.splat(over4);
  for (let b = 0; b < rows >> 2; b++, p += 4 * stride, blocks += stride, out += 4) {
    for (let c: usize = 0; c < stride; c += 16) v128.store(blocks + c, over(p + c, stride, inverse + c));
    if (b < 3) continue;
    const q = blocks - 3 * stride;
    let best = f32x4.splat(0);
    let before = fourOf(q, stride);
    for (let c: usize = 16; c <= stride; c += 16) {
      const next = c < stride ? fourOf(q + c, stride) : f32x4.splat(0);
      const pair = f32x4.add(before, i32x4.shuffle(before, next, 1, 2, 3, 4));
      const others = f32x4.add(i32x4.shuffle(before, next, 2, 3, 4, 5), i32x4.shuffle(before, next, 3, 4, 5, 6));
      best = f32x4.pmax(best, f32x4.mul(before, one));
      best = f32x4.pmax(best, f32x4.mul(pair, two));
      best = f32x4.pmax(best, f32x4.mul(f32x4.add(pair, others), four));
      before = next;
    }
    store<f32>(out, greatest(best));
  }
}

// @ts-ignore: decorator
@inline
function fourOf(q: usize, stride: usize): v128 {
  return f32x4.add(
    f32x4.add(v128.load(q), v128.load(q + stride)),
    f32x4.add(v128.load(q + 2 * stride), v128.load(q + 3 * stride)),
  );
}
