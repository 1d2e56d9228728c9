/** A discrete Fourier transform of one size, its tables made once. */
export interface Fft {
  readonly size: number;
  /** Forward transform in place: X[k] = Σ x[n]·exp(−j2πkn/size). Both arrays have length `size`. */
  forward(re: Float64Array, im: Float64Array): void;
}

/** Transforms by size: each is made when it is first asked for, and kept. */
export type Ffts = (size: number) => Fft;

/**
 * A radix-4 transform, with one radix-2 stage where the size is no power of four.
 *
 * @param size A power of two, 2 or more.
 * @throws RangeError if it is not.
 * @source Cooley and Tukey 1965, decimation in time; checked against a direct sum and an independent library.
 */
export function createFft(size: number): Fft {
  if (size < 2 || (size & (size - 1)) !== 0) throw new RangeError(`size must be a power of two, got ${size}`);
  const oddStage = Math.log2(size) % 2 === 1;
  const swaps = swappedIndices(size);
  const twiddles = stageTwiddles(size, oddStage ? 2 : 4);
  return {
    size,
    forward(re, im) {
      for (let n = 0; n < swaps.length; n += 2) {
        const i = swaps[n]!;
        const j = swaps[n + 1]!;
        const r = re[i]!;
        re[i] = re[j]!;
        re[j] = r;
        const m = im[i]!;
        im[i] = im[j]!;
        im[j] = m;
      }
      if (oddStage) pairs(re, im);
      else quads(re, im);
      let at = 0;
      for (let quarter = oddStage ? 2 : 4; quarter < size; quarter *= 4) {
        stage(re, im, quarter, twiddles, at);
        at += 6 * quarter;
      }
    },
  };
}

export function createFfts(): Ffts {
  const made = new Map<number, Fft>();
  return (size) => {
    let fft = made.get(size);
    if (!fft) {
      fft = createFft(size);
      made.set(size, fft);
    }
    return fft;
  };
}

/** Inverse of `forward`, in place, with the factor 1/size: the same transform with real and imaginary part swapped. */
export function inverse(fft: Fft, re: Float64Array, im: Float64Array): void {
  fft.forward(im, re);
  const scale = 1 / fft.size;
  for (let i = 0; i < re.length; i++) re[i] = re[i]! * scale;
  for (let i = 0; i < im.length; i++) im[i] = im[i]! * scale;
}

/** A first stage of two points needs no multiplication. */
function pairs(re: Float64Array, im: Float64Array): void {
  for (let i = 0; i < re.length; i += 2) {
    const ar = re[i]!;
    const ai = im[i]!;
    const br = re[i + 1]!;
    const bi = im[i + 1]!;
    re[i] = ar + br;
    im[i] = ai + bi;
    re[i + 1] = ar - br;
    im[i + 1] = ai - bi;
  }
}

/** Nor does one of four. */
function quads(re: Float64Array, im: Float64Array): void {
  for (let i = 0; i < re.length; i += 4) {
    const ar = re[i]! + re[i + 1]!;
    const ai = im[i]! + im[i + 1]!;
    const br = re[i]! - re[i + 1]!;
    const bi = im[i]! - im[i + 1]!;
    const cr = re[i + 2]! + re[i + 3]!;
    const ci = im[i + 2]! + im[i + 3]!;
    const dr = re[i + 2]! - re[i + 3]!;
    const di = im[i + 2]! - im[i + 3]!;
    re[i] = ar + cr;
    im[i] = ai + ci;
    re[i + 1] = br + di;
    im[i + 1] = bi - dr;
    re[i + 2] = ar - cr;
    im[i + 2] = ai - ci;
    re[i + 3] = br - di;
    im[i + 3] = bi + dr;
  }
}

/** Puts transforms of `quarter` points together, four at a time: two stages of radix 2 in one pass. */
function stage(re: Float64Array, im: Float64Array, quarter: number, twiddles: Float64Array, first: number): void {
  const whole = 4 * quarter;
  for (let start = 0; start < re.length; start += whole) {
    let t = first;
    const end = start + quarter;
    for (let a = start; a < end; a++) {
      const b = a + quarter;
      const c = b + quarter;
      const d = c + quarter;
      const w1r = twiddles[t]!;
      const w1i = twiddles[t + 1]!;
      const w2r = twiddles[t + 2]!;
      const w2i = twiddles[t + 3]!;
      const w3r = twiddles[t + 4]!;
      const w3i = twiddles[t + 5]!;
      t += 6;
      // In bit-reversed order the second quarter turns twice as fast as the third.
      const br = re[b]! * w2r - im[b]! * w2i;
      const bi = re[b]! * w2i + im[b]! * w2r;
      const cr = re[c]! * w1r - im[c]! * w1i;
      const ci = re[c]! * w1i + im[c]! * w1r;
      const dr = re[d]! * w3r - im[d]! * w3i;
      const di = re[d]! * w3i + im[d]! * w3r;
      const sumR = re[a]! + br;
      const sumI = im[a]! + bi;
      const differR = re[a]! - br;
      const differI = im[a]! - bi;
      const upperR = cr + dr;
      const upperI = ci + di;
      const turnedR = ci - di;
      const turnedI = dr - cr;
      re[a] = sumR + upperR;
      im[a] = sumI + upperI;
      re[b] = differR + turnedR;
      im[b] = differI + turnedI;
      re[c] = sumR - upperR;
      im[c] = sumI - upperI;
      re[d] = differR - turnedR;
      im[d] = differI - turnedI;
    }
  }
}

/** Cosine and sine of one, two and three times each stage's angles, in the order in which the stages use them. */
function stageTwiddles(size: number, firstQuarter: number): Float64Array {
  const out: number[] = [];
  for (let quarter = firstQuarter; quarter < size; quarter *= 4) {
    for (let k = 0; k < quarter; k++) {
      for (let times = 1; times <= 3; times++) {
        const angle = (2 * Math.PI * times * k) / (4 * quarter);
        out.push(Math.cos(angle), -Math.sin(angle));
      }
    }
  }
  return Float64Array.from(out);
}

/** Pairs of indices to swap for bit-reversed order. */
function swappedIndices(size: number): Uint32Array {
  const out: number[] = [];
  let reversed = 0;
  for (let i = 0; i < size; i++) {
    if (reversed > i) out.push(i, reversed);
    let bit = size >> 1;
    while (reversed & bit) {
      reversed ^= bit;
      bit >>= 1;
    }
    reversed |= bit;
  }
  return Uint32Array.from(out);
}
