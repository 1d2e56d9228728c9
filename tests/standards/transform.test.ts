import fc from "fast-check";
import { FFT } from "ml-fft";
import { describe, expect, it } from "vitest";
import { createFft, inverse } from "../../decoders/signal/fft.ts";

const SIZES = [2, 4, 8, 16, 64, 256, 1024] as const;

/** Any complex rows of a size out of `sizes`, as real and imaginary part. */
function rows(sizes: readonly number[]) {
  return fc.constantFrom(...sizes).chain((size) => {
    const row = fc.float64Array({ minLength: size, maxLength: size, min: -1e3, max: 1e3, noNaN: true });
    return fc.tuple(row, row);
  });
}

it("is the sum that defines the discrete Fourier transform", () => {
  fc.assert(
    fc.property(rows([2, 4, 8, 16, 64]), ([re, im]) => {
      const wanted = direct(re, im);
      const got = transformed(re, im);
      expectClose(got.re, wanted.re);
      expectClose(got.im, wanted.im);
    }),
  );
});

// From size 4 on: at size 2 the library answers with zeros.
it("agrees with ml-fft, an independent library", () => {
  fc.assert(
    fc.property(rows(SIZES.slice(1)), ([re, im]) => {
      const theirs = { re: re.slice(), im: im.slice() };
      FFT.init(re.length);
      FFT.fft(theirs.re, theirs.im);
      const got = transformed(re, im);
      expectClose(got.re, theirs.re);
      expectClose(got.im, theirs.im);
    }),
  );
});

it("keeps the energy (Parseval's theorem)", () => {
  fc.assert(
    fc.property(rows(SIZES), ([re, im]) => {
      const got = transformed(re, im);
      const before = energy(re, im);
      expect(Math.abs(energy(got.re, got.im) / re.length - before)).toBeLessThanOrEqual(1e-10 * before);
    }),
  );
});

it("is undone by the inverse", () => {
  fc.assert(
    fc.property(rows(SIZES), ([re, im]) => {
      const { re: backRe, im: backIm } = transformed(re, im);
      inverse(createFft(re.length), backRe, backIm);
      expectClose(backRe, re);
      expectClose(backIm, im);
    }),
  );
});

describe.each(SIZES)("of size %d", (size) => {
  it("puts exp(+j 2 pi k n / size) into line k alone", () => {
    for (const k of [0, 1, size / 2, size - 1]) {
      const re = Float64Array.from({ length: size }, (_, n) => Math.cos((2 * Math.PI * k * n) / size));
      const im = Float64Array.from({ length: size }, (_, n) => Math.sin((2 * Math.PI * k * n) / size));
      const got = transformed(re, im);
      const wanted = new Float64Array(size);
      wanted[k] = size;
      expectClose(got.re, wanted);
      expectClose(got.im, new Float64Array(size));
    }
  });
});

it("refuses sizes that are no power of two", () => {
  for (const size of [0, 1, 3, 12, -4]) expect(() => createFft(size)).toThrow(RangeError);
});

function transformed(re: Float64Array, im: Float64Array) {
  const out = { re: re.slice(), im: im.slice() };
  createFft(re.length).forward(out.re, out.im);
  return out;
}

/** The definition, term by term. */
function direct(re: Float64Array, im: Float64Array) {
  const size = re.length;
  const out = { re: new Float64Array(size), im: new Float64Array(size) };
  for (let k = 0; k < size; k++) {
    for (let n = 0; n < size; n++) {
      const angle = (-2 * Math.PI * ((k * n) % size)) / size;
      out.re[k]! += re[n]! * Math.cos(angle) - im[n]! * Math.sin(angle);
      out.im[k]! += re[n]! * Math.sin(angle) + im[n]! * Math.cos(angle);
    }
  }
  return out;
}

function energy(re: Float64Array, im: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < re.length; i++) sum += re[i]! ** 2 + im[i]! ** 2;
  return sum;
}

/** Within 1e-11 of the largest value that the transform of a row of entries up to 1e3 can have. */
function expectClose(got: Float64Array, wanted: Float64Array): void {
  let worst = 0;
  for (let i = 0; i < wanted.length; i++) worst = Math.max(worst, Math.abs(got[i]! - wanted[i]!));
  expect(worst).toBeLessThan(1e-11 * 1e3 * wanted.length);
}
