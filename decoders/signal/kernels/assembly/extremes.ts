// The least and the most level in blocks of samples, for pictures of recordings that are too long to be drawn sample by
// sample. Eight bytes of whole numbers are four or two samples: their squares are added in pairs by one instruction.

/** Least and most power of the lanes, as the roots of them times `scale`, into a pair of floats. */
// @ts-ignore: decorator
@inline
function storePair(least: v128, most: v128, scale: f32, out: usize): void {
  const l = f32x4.pmin(least, i32x4.shuffle(least, least, 2, 3, 0, 1));
  const m = f32x4.pmax(most, i32x4.shuffle(most, most, 2, 3, 0, 1));
  const low = f32x4.extract_lane(f32x4.pmin(l, i32x4.shuffle(l, l, 1, 0, 3, 2)), 0);
  const high = f32x4.extract_lane(f32x4.pmax(m, i32x4.shuffle(m, m, 1, 0, 3, 2)), 0);
  store<f32>(out, sqrt<f32>(low) * scale);
  store<f32>(out, sqrt<f32>(high) * scale, 4);
}

/** Blocks of bytes; unsigned ones are counted from the middle of their range, in halves of a step. */
// @ts-ignore: decorator
@inline
function ofBytes(isSigned: bool, p: usize, blocks: i32, bytes: usize, scale: f32, out: usize): void {
  for (; blocks > 0; blocks--, out += 8) {
    let least = i32x4.splat(0x7fffffff), most = i32x4.splat(0);
    for (const end = p + bytes; p < end; p += 16) {
      const x = v128.load(p);
      let a: v128, b: v128;
      if (isSigned) {
        a = i16x8.extend_low_i8x16_s(x);
        b = i16x8.extend_high_i8x16_s(x);
      } else {
        const middle = i16x8.splat(255);
        a = i16x8.sub(i16x8.shl(i16x8.extend_low_i8x16_u(x), 1), middle);
        b = i16x8.sub(i16x8.shl(i16x8.extend_high_i8x16_u(x), 1), middle);
      }
      const pa = i32x4.dot_i16x8_s(a, a), pb = i32x4.dot_i16x8_s(b, b);
      least = i32x4.min_s(least, i32x4.min_s(pa, pb));
      most = i32x4.max_s(most, i32x4.max_s(pa, pb));
    }
    storePair(f32x4.convert_i32x4_s(least), f32x4.convert_i32x4_s(most), scale, out);
  }
}

/** Blocks of 16-bit numbers; two squares of -32768 make 2^31, which only a number without a sign holds. */
function ofWords(p: usize, blocks: i32, bytes: usize, scale: f32, out: usize): void {
  for (; blocks > 0; blocks--, out += 8) {
    let least = i32x4.splat(-1), most = i32x4.splat(0);
    for (const end = p + bytes; p < end; p += 32) {
      const a = v128.load(p), b = v128.load(p, 16);
      const pa = i32x4.dot_i16x8_s(a, a), pb = i32x4.dot_i16x8_s(b, b);
      least = i32x4.min_u(least, i32x4.min_u(pa, pb));
      most = i32x4.max_u(most, i32x4.max_u(pa, pb));
    }
    storePair(f32x4.convert_i32x4_u(least), f32x4.convert_i32x4_u(most), scale, out);
  }
}

function ofFloats(p: usize, blocks: i32, bytes: usize, scale: f32, out: usize): void {
  for (; blocks > 0; blocks--, out += 8) {
    let least = f32x4.splat(Infinity), most = f32x4.splat(0);
    for (const end = p + bytes; p < end; p += 32) {
      const a = v128.load(p), b = v128.load(p, 16);
      const re = f32x4.shuffle(a, b, 0, 2, 4, 6), im = f32x4.shuffle(a, b, 1, 3, 5, 7);
      const power = f32x4.add(f32x4.mul(re, re), f32x4.mul(im, im));
      least = f32x4.pmin(least, power);
      most = f32x4.pmax(most, power);
    }
    storePair(least, most, scale, out);
  }
}

/**
 * Least and most level of each of `blocks` blocks of `bytes` bytes from `p` on, as pairs of floats.
 *
 * @param type 0 cu8, 1 ci8, 2 ci16, 3 cf32.
 * @param bytes A multiple of 32.
 * @param scale What a step of the type, of cu8 half a step, is of full scale.
 */
export function extremes(type: i32, p: usize, blocks: i32, bytes: usize, scale: f32, out: usize): void {
  if (type == 0) ofBytes(false, p, blocks, bytes, scale, out);
  else if (type == 1) ofBytes(true, p, blocks, bytes, scale, out);
  else if (type == 2) ofWords(p, blocks, bytes, scale, out);
  else ofFloats(p, blocks, bytes, scale, out);
}
