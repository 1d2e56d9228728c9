/** A discrete Fourier transform of one size, its tables made once. */
export interface Fft {
  readonly size: number;
  /** Forward transform in place: X[k] = Σ x[n]·exp(−j2πkn/size). Both arrays have length `size`. */
  forward(re: Float64Array, im: Float64Array): void;
}

/**
 * A radix-2 transform.
 *
 * @param size A power of two, 2 or more.
 * @throws RangeError if it is not.
 * @source Cooley and Tukey 1965, decimation in time; checked against a direct sum and an independent library.
 */
export function createFft(size: number): Fft {
  if (size < 2 || (size & (size - 1)) !== 0) throw new RangeError(`size must be a power of two, got ${size}`);
  const cos = new Float64Array(size / 2);
  const sin = new Float64Array(size / 2);
  for (let i = 0; i < size / 2; i++) {
    cos[i] = Math.cos((2 * Math.PI * i) / size);
    sin[i] = -Math.sin((2 * Math.PI * i) / size);
  }
  const reversed = reversedIndices(size);
  return {
    size,
    forward(re, im) {
      for (let i = 0; i < size; i++) {
        const j = reversed[i]!;
        if (j <= i) continue;
        const r = re[i]!;
        re[i] = re[j]!;
        re[j] = r;
        const m = im[i]!;
        im[i] = im[j]!;
        im[j] = m;
      }
      // The first stage needs no multiplication.
      for (let i = 0; i < size; i += 2) {
        const ar = re[i]!;
        const ai = im[i]!;
        const br = re[i + 1]!;
        const bi = im[i + 1]!;
        re[i] = ar + br;
        im[i] = ai + bi;
        re[i + 1] = ar - br;
        im[i + 1] = ai - bi;
      }
      for (let half = 2; half < size; half *= 2) {
        const stride = size / (2 * half);
        for (let start = 0; start < size; start += 2 * half) {
          for (let k = 0, t = 0; k < half; k++, t += stride) {
            const a = start + k;
            const b = a + half;
            const c = cos[t]!;
            const s = sin[t]!;
            const br = re[b]! * c - im[b]! * s;
            const bi = re[b]! * s + im[b]! * c;
            re[b] = re[a]! - br;
            im[b] = im[a]! - bi;
            re[a] = re[a]! + br;
            im[a] = im[a]! + bi;
          }
        }
      }
    },
  };
}

/** Inverse of `forward`, in place, with the factor 1/size: the same transform with real and imaginary part swapped. */
export function inverse(fft: Fft, re: Float64Array, im: Float64Array): void {
  fft.forward(im, re);
  for (let i = 0; i < fft.size; i++) {
    re[i] = re[i]! / fft.size;
    im[i] = im[i]! / fft.size;
  }
}

function reversedIndices(size: number): Uint32Array {
  const bits = Math.log2(size);
  const out = new Uint32Array(size);
  for (let i = 0; i < size; i++) {
    let r = 0;
    for (let b = 0; b < bits; b++) if (i & (1 << b)) r |= 1 << (bits - 1 - b);
    out[i] = r;
  }
  return out;
}
