import type { Ffts } from "../signal/fft.ts";

/** Points of one transform: a cell of time and frequency that a burst fills or leaves alone. */
const SIZE = 64;
/** Cells in order of their power: below a quarter of them none holds a signal, unless three quarters do. */
const QUIET_SHARE = 0.25;
/** Transforms looked at, spread over the stretch. */
const MOST_TRANSFORMS = 2048;
/** The outer part of the band, where a receiver's filter falls off. */
const EDGE_SHARE = 0.1;

/**
 * Noise power per hertz of a stretch, full scale 1, whatever is sent in it: from the quiet quarter of its cells of time
 * and frequency. Too high where signals fill more than three quarters of these.
 *
 * @param iq Interleaved samples, at least one.
 */
export function quietDensity(iq: Float32Array, rateHz: number, ffts: Ffts): number {
  const count = iq.length >> 1;
  const fft = ffts(SIZE);
  const transforms = Math.max(1, Math.min(MOST_TRANSFORMS, Math.floor(count / SIZE)));
  const stride = transforms > 1 ? Math.floor((count - SIZE) / (transforms - 1)) : 0;
  const first = Math.round(EDGE_SHARE * SIZE);
  const perTransform = SIZE - 2 * first;
  const cells = new Float64Array(transforms * perTransform);
  const re = new Float64Array(SIZE);
  const im = new Float64Array(SIZE);
  let windowPower = 0;
  for (let n = 0; n < SIZE; n++) windowPower += hann(n) ** 2;
  for (let t = 0; t < transforms; t++) {
    for (let n = 0; n < SIZE; n++) {
      const at = 2 * (t * stride + n);
      re[n] = (iq[at] ?? 0) * hann(n);
      im[n] = (iq[at + 1] ?? 0) * hann(n);
    }
    fft.forward(re, im);
    for (let k = 0; k < perTransform; k++) {
      // Lowest frequency first: the middle of the transform's order is the band's edge.
      const bin = (k + first + SIZE / 2) % SIZE;
      cells[t * perTransform + k] = re[bin]! ** 2 + im[bin]! ** 2;
    }
  }
  cells.sort();
  const quiet = cells[Math.floor(QUIET_SHARE * (cells.length - 1))]!;
  // A quarter of exponentially spread values lies below −ln(0.75) of their mean.
  return quiet / -Math.log(1 - QUIET_SHARE) / windowPower / rateHz;
}

function hann(n: number): number {
  return 0.5 - 0.5 * Math.cos((2 * Math.PI * (n + 0.5)) / SIZE);
}
