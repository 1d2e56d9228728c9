// Any power of two from 32 channels on, any sample type, in single precision, four to a vector: radix-4 Stockham stages
// with real and imaginary parts in planes of their own, and a last stage of 2 where the number is no power of 4.
//
// Tables: window (n, with the scale of the sample type in it), then for every stage but the last six numbers a
// butterfly, cos and -sin of one, two and three turns; the first stage has them as six runs of n/4.
// Scratch: two pairs of planes, n floats each.

const CU8: i32 = 0;
const CI8: i32 = 1;
const CI16: i32 = 2;

/** Windowed samples of one transform as two planes; returns how many touch an end of the scale. */
// @ts-ignore: decorator
@inline
function load(type: i32, p: usize, n: usize, window: usize, re: usize): i32 {
  const im = re + 4 * n;
  let clipped = i32x4.splat(0);
  for (let i: usize = 0; i < 4 * n; i += 16) {
    const w = v128.load(window + i);
    let r: v128, m: v128, ends: v128;
    if (type == CU8 || type == CI8) {
      // Four samples: I in the even bytes, Q in the odd ones.
      const x = v128.load64_zero(p + (i >> 1));
      if (type == CU8) {
        const wide = i16x8.extend_low_i8x16_u(x);
        r = f32x4.sub(f32x4.convert_i32x4_s(v128.and(wide, i32x4.splat(0xffff))), f32x4.splat(127.5));
        m = f32x4.sub(f32x4.convert_i32x4_s(i32x4.shr_u(wide, 16)), f32x4.splat(127.5));
        ends = v128.or(i16x8.eq(wide, i16x8.splat(0)), i16x8.eq(wide, i16x8.splat(255)));
      } else {
        const wide = i16x8.extend_low_i8x16_s(x);
        r = f32x4.convert_i32x4_s(i32x4.shr_s(i32x4.shl(wide, 16), 16));
        m = f32x4.convert_i32x4_s(i32x4.shr_s(wide, 16));
        ends = i16x8.ge_s(i16x8.abs(wide), i16x8.splat(127));
      }
    } else if (type == CI16) {
      const x = v128.load(p + i);
      r = f32x4.convert_i32x4_s(i32x4.shr_s(i32x4.shl(x, 16), 16));
      m = f32x4.convert_i32x4_s(i32x4.shr_s(x, 16));
      ends = v128.or(i16x8.ge_s(x, i16x8.splat(32767)), i16x8.le_s(x, i16x8.splat(-32767)));
    } else {
      const a = v128.load(p + 2 * i);
      const b = v128.load(p + 2 * i, 16);
      r = f32x4.shuffle(a, b, 0, 2, 4, 6);
      m = f32x4.shuffle(a, b, 1, 3, 5, 7);
      const one = f32x4.splat(1);
      ends = v128.or(f32x4.ge(f32x4.abs(r), one), f32x4.ge(f32x4.abs(m), one));
      // A value that is not finite is refused where the file is read; here it must only do no harm.
      const zero = f32x4.splat(0);
      r = v128.and(r, f32x4.eq(f32x4.sub(r, r), zero));
      m = v128.and(m, f32x4.eq(f32x4.sub(m, m), zero));
    }
    clipped = i32x4.sub(clipped, i32x4.ne(ends, i32x4.splat(0)));
    v128.store(re + i, f32x4.mul(r, w));
    v128.store(im + i, f32x4.mul(m, w));
  }
  return (
    i32x4.extract_lane(clipped, 0) +
    i32x4.extract_lane(clipped, 1) +
    i32x4.extract_lane(clipped, 2) +
    i32x4.extract_lane(clipped, 3)
  );
}

function loadAny(type: i32, p: usize, n: usize, window: usize, re: usize): i32 {
  // Each call is compiled for its type, so that nothing is asked inside the loop.
  if (type == CU8) return load(CU8, p, n, window, re);
  if (type == CI8) return load(CI8, p, n, window, re);
  if (type == CI16) return load(CI16, p, n, window, re);
  return load(3, p, n, window, re);
}

/** First stage: four neighbouring butterflies at once, turned round on the way out. */
function first(x: usize, y: usize, turns: usize, n: usize): void {
  const plane = n * 4;
  const quarter = n;
  for (const end = x + quarter; x < end; x += 16) {
    const ar = v128.load(x), ai = v128.load(x + plane);
    const br = v128.load(x + quarter), bi = v128.load(x + quarter + plane);
    const cr = v128.load(x + 2 * quarter), ci = v128.load(x + 2 * quarter + plane);
    const dr = v128.load(x + 3 * quarter), di = v128.load(x + 3 * quarter + plane);
    const pr = f32x4.add(ar, cr), pi = f32x4.add(ai, ci), mr = f32x4.sub(ar, cr), mi = f32x4.sub(ai, ci);
    const qr = f32x4.add(br, dr), qi = f32x4.add(bi, di), sr = f32x4.sub(br, dr), si = f32x4.sub(bi, di);
    const ur = f32x4.add(mr, si), ui = f32x4.sub(mi, sr), vr = f32x4.sub(pr, qr), vi = f32x4.sub(pi, qi);
    const zr = f32x4.sub(mr, si), zi = f32x4.add(mi, sr);
    const w1r = v128.load(turns), w1i = v128.load(turns + quarter), w2r = v128.load(turns + 2 * quarter);
    const w2i = v128.load(turns + 3 * quarter), w3r = v128.load(turns + 4 * quarter), w3i = v128.load(turns + 5 * quarter);
    const y0r = f32x4.add(pr, qr), y0i = f32x4.add(pi, qi);
    const y1r = f32x4.sub(f32x4.mul(ur, w1r), f32x4.mul(ui, w1i)), y1i = f32x4.add(f32x4.mul(ur, w1i), f32x4.mul(ui, w1r));
    const y2r = f32x4.sub(f32x4.mul(vr, w2r), f32x4.mul(vi, w2i)), y2i = f32x4.add(f32x4.mul(vr, w2i), f32x4.mul(vi, w2r));
    const y3r = f32x4.sub(f32x4.mul(zr, w3r), f32x4.mul(zi, w3i)), y3i = f32x4.add(f32x4.mul(zr, w3i), f32x4.mul(zi, w3r));
    storeTurned(y, y0r, y1r, y2r, y3r);
    storeTurned(y + plane, y0i, y1i, y2i, y3i);
    turns += 16;
    y += 64;
  }
}

/** Four by four numbers, columns as rows. */
// @ts-ignore: decorator
@inline
function storeTurned(y: usize, a: v128, b: v128, c: v128, d: v128): void {
  const t0 = i32x4.shuffle(a, b, 0, 4, 1, 5), t1 = i32x4.shuffle(c, d, 0, 4, 1, 5);
  const t2 = i32x4.shuffle(a, b, 2, 6, 3, 7), t3 = i32x4.shuffle(c, d, 2, 6, 3, 7);
  v128.store(y, i64x2.shuffle(t0, t1, 0, 2));
  v128.store(y, i64x2.shuffle(t0, t1, 1, 3), 16);
  v128.store(y, i64x2.shuffle(t2, t3, 0, 2), 32);
  v128.store(y, i64x2.shuffle(t2, t3, 1, 3), 48);
}

/** A stage of `quarter` butterflies on runs of `run` numbers, a multiple of four. */
function middle(x: usize, y: usize, turns: usize, quarter: usize, run: usize, n: usize): void {
  const plane = n * 4;
  const apart = quarter * run * 4;
  const step = run * 4;
  for (let p: usize = 0; p < quarter; p++) {
    const w1r = v128.load32_splat(turns), w1i = v128.load32_splat(turns, 4), w2r = v128.load32_splat(turns, 8);
    const w2i = v128.load32_splat(turns, 12), w3r = v128.load32_splat(turns, 16), w3i = v128.load32_splat(turns, 20);
    for (let q: usize = 0; q < step; q += 16) {
      const i = x + p * step + q;
      const o = y + 4 * p * step + q;
      const ar = v128.load(i), ai = v128.load(i + plane), br = v128.load(i + apart), bi = v128.load(i + apart + plane);
      const cr = v128.load(i + 2 * apart), ci = v128.load(i + 2 * apart + plane);
      const dr = v128.load(i + 3 * apart), di = v128.load(i + 3 * apart + plane);
      const pr = f32x4.add(ar, cr), pi = f32x4.add(ai, ci), mr = f32x4.sub(ar, cr), mi = f32x4.sub(ai, ci);
      const qr = f32x4.add(br, dr), qi = f32x4.add(bi, di), sr = f32x4.sub(br, dr), si = f32x4.sub(bi, di);
      const ur = f32x4.add(mr, si), ui = f32x4.sub(mi, sr), vr = f32x4.sub(pr, qr), vi = f32x4.sub(pi, qi);
      const zr = f32x4.sub(mr, si), zi = f32x4.add(mi, sr);
      v128.store(o, f32x4.add(pr, qr));
      v128.store(o + plane, f32x4.add(pi, qi));
      v128.store(o + step, f32x4.sub(f32x4.mul(ur, w1r), f32x4.mul(ui, w1i)));
      v128.store(o + step + plane, f32x4.add(f32x4.mul(ur, w1i), f32x4.mul(ui, w1r)));
      v128.store(o + 2 * step, f32x4.sub(f32x4.mul(vr, w2r), f32x4.mul(vi, w2i)));
      v128.store(o + 2 * step + plane, f32x4.add(f32x4.mul(vr, w2i), f32x4.mul(vi, w2r)));
      v128.store(o + 3 * step, f32x4.sub(f32x4.mul(zr, w3r), f32x4.mul(zi, w3i)));
      v128.store(o + 3 * step + plane, f32x4.add(f32x4.mul(zr, w3i), f32x4.mul(zi, w3r)));
    }
    turns += 24;
  }
}

// @ts-ignore: decorator
@inline
function addPower(sum: usize, r: v128, i: v128): void {
  v128.store(sum, f32x4.add(v128.load(sum), f32x4.add(f32x4.mul(r, r), f32x4.mul(i, i))));
}

/** Last stage of four. The upper half of the bins are the frequencies below the centre: they come first. */
function last4(x: usize, sum: usize, n: usize): void {
  const plane = n * 4;
  const apart = n;
  for (let q: usize = 0; q < apart; q += 16) {
    const i = x + q;
    const o = sum + q;
    const ar = v128.load(i), ai = v128.load(i + plane), br = v128.load(i + apart), bi = v128.load(i + apart + plane);
    const cr = v128.load(i + 2 * apart), ci = v128.load(i + 2 * apart + plane);
    const dr = v128.load(i + 3 * apart), di = v128.load(i + 3 * apart + plane);
    const pr = f32x4.add(ar, cr), pi = f32x4.add(ai, ci), mr = f32x4.sub(ar, cr), mi = f32x4.sub(ai, ci);
    const qr = f32x4.add(br, dr), qi = f32x4.add(bi, di), sr = f32x4.sub(br, dr), si = f32x4.sub(bi, di);
    addPower(o + 2 * apart, f32x4.add(pr, qr), f32x4.add(pi, qi));
    addPower(o + 3 * apart, f32x4.add(mr, si), f32x4.sub(mi, sr));
    addPower(o, f32x4.sub(pr, qr), f32x4.sub(pi, qi));
    addPower(o + apart, f32x4.sub(mr, si), f32x4.add(mi, sr));
  }
}

function last2(x: usize, sum: usize, n: usize): void {
  const plane = n * 4;
  const apart = n * 2;
  for (let q: usize = 0; q < apart; q += 16) {
    const i = x + q;
    const ar = v128.load(i), ai = v128.load(i + plane), br = v128.load(i + apart), bi = v128.load(i + apart + plane);
    addPower(sum + q + apart, f32x4.add(ar, br), f32x4.add(ai, bi));
    addPower(sum + q, f32x4.sub(ar, br), f32x4.sub(ai, bi));
  }
}

/**
 * Power of `steps` time steps of `averages` transforms of n samples each, one row of n floats a step.
 *
 * @param type 0 cu8, 1 ci8, 2 ci16_le, 3 cf32_le.
 * @param sampleBytes Bytes of one complex sample.
 * @returns How many samples touch an end of the scale.
 */
export function channelise(
  type: i32,
  sampleBytes: i32,
  p: usize,
  steps: i32,
  averages: i32,
  n: usize,
  tables: usize,
  scratch: usize,
  scale: f32,
  rows: usize,
): i32 {
  const factor = f32x4.splat(scale);
  const zero = f32x4.splat(0);
  const other = scratch + 8 * n;
  let clipped = 0;
  for (let s = 0; s < steps; s++) {
    for (let c: usize = 0; c < 4 * n; c += 16) v128.store(rows + c, zero);
    for (let a = 0; a < averages; a++) {
      clipped += loadAny(type, p, n, tables, scratch);
      let turns = tables + 4 * n;
      first(scratch, other, turns, n);
      turns += 6 * n;
      let x = other;
      let y = scratch;
      let run: usize = 4;
      let left = n >> 2;
      while (left > 4) {
        left >>= 2;
        middle(x, y, turns, left, run, n);
        turns += 24 * left;
        run <<= 2;
        const z = x;
        x = y;
        y = z;
      }
      if (left == 4) last4(x, rows, n);
      else last2(x, rows, n);
      p += n * sampleBytes;
    }
    for (let c: usize = 0; c < 4 * n; c += 16) v128.store(rows + c, f32x4.mul(v128.load(rows + c), factor));
    rows += n * 4;
  }
  return clipped;
}
