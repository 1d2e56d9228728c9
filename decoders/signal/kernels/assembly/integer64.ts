// 64 channels of 8-bit samples in whole numbers, eight to a vector.
//
// A sample is taken eight times its size, -1020 to 1020, and the window is a Hann window of height 3/4, of sum 24. Nothing
// that bytes can hold then passes 1020 · 4/π · 24 = 31,168 in either part of a bin, which a square wave at full scale in
// both parts would reach: sixteen bits hold every stage without scaling between them.
// Tables: window (64), then for each of the first two stages cos and -sin of one, two and three turns (6 × 16); all in
// units of 1/32768. Scratch: two planes of 64 real and 64 imaginary parts.

const IMAGINARY: usize = 128;

// @ts-ignore: decorator
@inline
function timesReal(ar: v128, ai: v128, wr: v128, wi: v128): v128 {
  return i16x8.sub(i16x8.q15mulr_sat_s(ar, wr), i16x8.q15mulr_sat_s(ai, wi));
}

// @ts-ignore: decorator
@inline
function timesImaginary(ar: v128, ai: v128, wr: v128, wi: v128): v128 {
  return i16x8.add(i16x8.q15mulr_sat_s(ar, wi), i16x8.q15mulr_sat_s(ai, wr));
}

// @ts-ignore: decorator
@inline
function realOf(x: v128, centre: v128): v128 {
  return i16x8.sub(v128.and(i16x8.shl(x, 3), i16x8.splat(0x7f8)), centre);
}

// @ts-ignore: decorator
@inline
function imaginaryOf(x: v128, centre: v128): v128 {
  return i16x8.sub(v128.and(i16x8.shr_u(x, 5), i16x8.splat(0x7f8)), centre);
}

// @ts-ignore: decorator
@inline
function low16(a: v128, b: v128): v128 {
  return i16x8.shuffle(a, b, 0, 8, 1, 9, 2, 10, 3, 11);
}

// @ts-ignore: decorator
@inline
function high16(a: v128, b: v128): v128 {
  return i16x8.shuffle(a, b, 4, 12, 5, 13, 6, 14, 7, 15);
}

// @ts-ignore: decorator
@inline
function low32(a: v128, b: v128): v128 {
  return i32x4.shuffle(a, b, 0, 4, 1, 5);
}

// @ts-ignore: decorator
@inline
function high32(a: v128, b: v128): v128 {
  return i32x4.shuffle(a, b, 2, 6, 3, 7);
}

/** First stage: eight butterflies of samples 16 apart, from bytes; returns the bytes' least `byte + 1`. */
// @ts-ignore: decorator
@inline
function first(p: usize, window: usize, turns: usize, y: usize, flip: v128, centre: v128, least: v128): v128 {
  const xa = v128.xor(v128.load(p), flip);
  const xb = v128.xor(v128.load(p, 32), flip);
  const xc = v128.xor(v128.load(p, 64), flip);
  const xd = v128.xor(v128.load(p, 96), flip);
  const one = i8x16.splat(1);
  // 255 becomes 0 and 0 becomes 1; nothing else does.
  const ends = i8x16.min_u(
    i8x16.min_u(i8x16.add(xa, one), i8x16.add(xb, one)),
    i8x16.min_u(i8x16.add(xc, one), i8x16.add(xd, one)),
  );
  const wa = v128.load(window);
  const wb = v128.load(window, 32);
  const wc = v128.load(window, 64);
  const wd = v128.load(window, 96);
  const ar = i16x8.q15mulr_sat_s(realOf(xa, centre), wa);
  const ai = i16x8.q15mulr_sat_s(imaginaryOf(xa, centre), wa);
  const br = i16x8.q15mulr_sat_s(realOf(xb, centre), wb);
  const bi = i16x8.q15mulr_sat_s(imaginaryOf(xb, centre), wb);
  const cr = i16x8.q15mulr_sat_s(realOf(xc, centre), wc);
  const ci = i16x8.q15mulr_sat_s(imaginaryOf(xc, centre), wc);
  const dr = i16x8.q15mulr_sat_s(realOf(xd, centre), wd);
  const di = i16x8.q15mulr_sat_s(imaginaryOf(xd, centre), wd);
  const pr = i16x8.add(ar, cr), pi = i16x8.add(ai, ci), mr = i16x8.sub(ar, cr), mi = i16x8.sub(ai, ci);
  const qr = i16x8.add(br, dr), qi = i16x8.add(bi, di), sr = i16x8.sub(br, dr), si = i16x8.sub(bi, di);
  const ur = i16x8.add(mr, si), ui = i16x8.sub(mi, sr), vr = i16x8.sub(pr, qr), vi = i16x8.sub(pi, qi);
  const zr = i16x8.sub(mr, si), zi = i16x8.add(mi, sr);
  const w1r = v128.load(turns), w1i = v128.load(turns, 32), w2r = v128.load(turns, 64);
  const w2i = v128.load(turns, 96), w3r = v128.load(turns, 128), w3i = v128.load(turns, 160);
  const y0r = i16x8.add(pr, qr), y0i = i16x8.add(pi, qi);
  const y1r = timesReal(ur, ui, w1r, w1i), y1i = timesImaginary(ur, ui, w1r, w1i);
  const y2r = timesReal(vr, vi, w2r, w2i), y2i = timesImaginary(vr, vi, w2r, w2i);
  const y3r = timesReal(zr, zi, w3r, w3i), y3i = timesImaginary(zr, zi, w3r, w3i);
  let t0 = low16(y0r, y1r), t1 = low16(y2r, y3r), t2 = high16(y0r, y1r), t3 = high16(y2r, y3r);
  v128.store(y, low32(t0, t1));
  v128.store(y, high32(t0, t1), 16);
  v128.store(y, low32(t2, t3), 32);
  v128.store(y, high32(t2, t3), 48);
  t0 = low16(y0i, y1i), t1 = low16(y2i, y3i), t2 = high16(y0i, y1i), t3 = high16(y2i, y3i);
  v128.store(y, low32(t0, t1), 128);
  v128.store(y, high32(t0, t1), 144);
  v128.store(y, low32(t2, t3), 160);
  v128.store(y, high32(t2, t3), 176);
  return i8x16.min_u(least, ends);
}

/** Second stage: two of four groups of four. */
// @ts-ignore: decorator
@inline
function second(x: usize, turns: usize, y: usize): void {
  const ar = v128.load(x), ai = v128.load(x, IMAGINARY), br = v128.load(x, 32), bi = v128.load(x, IMAGINARY + 32);
  const cr = v128.load(x, 64), ci = v128.load(x, IMAGINARY + 64), dr = v128.load(x, 96), di = v128.load(x, IMAGINARY + 96);
  const pr = i16x8.add(ar, cr), pi = i16x8.add(ai, ci), mr = i16x8.sub(ar, cr), mi = i16x8.sub(ai, ci);
  const qr = i16x8.add(br, dr), qi = i16x8.add(bi, di), sr = i16x8.sub(br, dr), si = i16x8.sub(bi, di);
  const ur = i16x8.add(mr, si), ui = i16x8.sub(mi, sr), vr = i16x8.sub(pr, qr), vi = i16x8.sub(pi, qi);
  const zr = i16x8.sub(mr, si), zi = i16x8.add(mi, sr);
  const w1r = v128.load(turns), w1i = v128.load(turns, 32), w2r = v128.load(turns, 64);
  const w2i = v128.load(turns, 96), w3r = v128.load(turns, 128), w3i = v128.load(turns, 160);
  const y0r = i16x8.add(pr, qr), y0i = i16x8.add(pi, qi);
  const y1r = timesReal(ur, ui, w1r, w1i), y1i = timesImaginary(ur, ui, w1r, w1i);
  const y2r = timesReal(vr, vi, w2r, w2i), y2i = timesImaginary(vr, vi, w2r, w2i);
  const y3r = timesReal(zr, zi, w3r, w3i), y3i = timesImaginary(zr, zi, w3r, w3i);
  v128.store(y, i64x2.shuffle(y0r, y1r, 0, 2));
  v128.store(y, i64x2.shuffle(y2r, y3r, 0, 2), 16);
  v128.store(y, i64x2.shuffle(y0r, y1r, 1, 3), 32);
  v128.store(y, i64x2.shuffle(y2r, y3r, 1, 3), 48);
  v128.store(y, i64x2.shuffle(y0i, y1i, 0, 2), 128);
  v128.store(y, i64x2.shuffle(y2i, y3i, 0, 2), 144);
  v128.store(y, i64x2.shuffle(y0i, y1i, 1, 3), 160);
  v128.store(y, i64x2.shuffle(y2i, y3i, 1, 3), 176);
}

// @ts-ignore: decorator
@inline
function addPower(sum: usize, r: v128, i: v128): void {
  const l = low16(r, i);
  const h = high16(r, i);
  v128.store(sum, f32x4.add(v128.load(sum), f32x4.convert_i32x4_s(i32x4.dot_i16x8_s(l, l))));
  v128.store(sum, f32x4.add(v128.load(sum, 16), f32x4.convert_i32x4_s(i32x4.dot_i16x8_s(h, h))), 16);
}

// @ts-ignore: decorator
@inline
function third(x: usize, sum: usize): void {
  const ar = v128.load(x), ai = v128.load(x, IMAGINARY), br = v128.load(x, 32), bi = v128.load(x, IMAGINARY + 32);
  const cr = v128.load(x, 64), ci = v128.load(x, IMAGINARY + 64), dr = v128.load(x, 96), di = v128.load(x, IMAGINARY + 96);
  const pr = i16x8.add(ar, cr), pi = i16x8.add(ai, ci), mr = i16x8.sub(ar, cr), mi = i16x8.sub(ai, ci);
  const qr = i16x8.add(br, dr), qi = i16x8.add(bi, di), sr = i16x8.sub(br, dr), si = i16x8.sub(bi, di);
  // Bins 32 to 63 are the frequencies below the centre: they come first.
  addPower(sum + 128, i16x8.add_sat_s(pr, qr), i16x8.add_sat_s(pi, qi));
  addPower(sum + 192, i16x8.add_sat_s(mr, si), i16x8.sub_sat_s(mi, sr));
  addPower(sum, i16x8.sub_sat_s(pr, qr), i16x8.sub_sat_s(pi, qi));
  addPower(sum + 64, i16x8.sub_sat_s(mr, si), i16x8.add_sat_s(mi, sr));
}

/** Samples of `count` at `p` with a part at an end of the scale; `flip` turns bytes into offset binary. */
function countEnds(p: usize, count: i32, flip: v128, low: v128): i32 {
  let sum = i32x4.splat(0);
  for (const end = p + 2 * <usize>count; p < end; p += 16) {
    const x = v128.xor(v128.load(p), flip);
    const at = v128.or(i8x16.le_u(x, low), i8x16.eq(x, i8x16.splat(-1)));
    const any = i16x8.ne(at, i16x8.splat(0));
    sum = i32x4.sub(sum, i32x4.extadd_pairwise_i16x8_s(any));
  }
  return (
    i32x4.extract_lane(sum, 0) + i32x4.extract_lane(sum, 1) + i32x4.extract_lane(sum, 2) + i32x4.extract_lane(sum, 3)
  );
}

/**
 * Power of `steps` time steps of `averages` transforms each, one row of 64 floats a step.
 *
 * @param signed 1 for signed bytes, 0 for bytes around 127.5.
 * @returns How many samples touch an end of the scale.
 */
export function channelise64(
  p: usize,
  steps: i32,
  averages: i32,
  signed: i32,
  tables: usize,
  scratch: usize,
  scale: f32,
  rows: usize,
): i32 {
  const flip = i8x16.splat(signed ? -128 : 0);
  const centre = i16x8.splat(signed ? 1024 : 1020);
  // -127 counts as the end of signed bytes too: the scale is the same on both sides.
  const low = i8x16.splat(signed ? 1 : 0);
  const turns1 = tables + 128;
  const turns2 = turns1 + 192;
  const other = scratch + 256;
  const factor = f32x4.splat(scale);
  const zero = f32x4.splat(0);
  let clipped = 0;
  for (let s = 0; s < steps; s++) {
    const begun = p;
    let least = i8x16.splat(-1);
    for (let c: usize = 0; c < 256; c += 16) v128.store(rows + c, zero);
    for (let a = 0; a < averages; a++) {
      least = first(p, tables, turns1, scratch, flip, centre, least);
      least = first(p + 16, tables + 16, turns1 + 16, scratch + 64, flip, centre, least);
      second(scratch, turns2, other);
      second(scratch + 16, turns2 + 16, other + 64);
      third(other, rows);
      third(other + 16, rows + 32);
      p += 128;
    }
    for (let c: usize = 0; c < 256; c += 16) v128.store(rows + c, f32x4.mul(v128.load(rows + c), factor));
    rows += 256;
    if (v128.any_true(i8x16.le_u(least, i8x16.splat(signed ? 2 : 1)))) {
      clipped += countEnds(begun, averages * 64, flip, low);
    }
  }
  return clipped;
}
