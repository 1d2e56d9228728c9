import type { Ffts } from "../signal/fft.ts";

/** Power over a band, lowest frequency first. */
export interface PowerSpectrum {
  /** Mean power of each line, full scale 1: a carrier without keying shows its own power. */
  readonly power: Float64Array;
  readonly lineHz: number;
  /** The band of white noise that a line takes in. */
  readonly resolutionHz: number;
  /** Transforms that were averaged. */
  readonly segments: number;
  /** Noise in one line. */
  readonly noise: number;
}

/** Noise bandwidth of a Hann window, in lines. */
const HANN_LINES = 1.5;
/** The outer part of the band tells no noise: a receiver's filter falls off there. */
const EDGE_SHARE = 0.05;
const QUIET_SHARE = 0.25;

/**
 * Mean of the spectra of pieces that overlap by half, each through a Hann window.
 *
 * @param lines A power of two.
 * @throws RangeError if it is not, or there are fewer samples than lines.
 * @source P. D. Welch, IEEE Trans. Audio and Electroacoustics AU-15, 1967 (from memory); the Hann window's noise
 *   bandwidth of 1.5 lines: F. J. Harris, Proc. IEEE 66, 1978 (from memory).
 */
export function powerSpectrum(iq: Float32Array, rateHz: number, lines: number, ffts: Ffts): PowerSpectrum {
  const count = iq.length >> 1;
  if (count < lines) throw new RangeError(`${lines} lines need as many samples, got ${count}`);
  const fft = ffts(lines);
  const window = Float64Array.from({ length: lines }, (_, n) => 0.5 - 0.5 * Math.cos((2 * Math.PI * n) / lines));
  const scale = 1 / window.reduce((sum, value) => sum + value, 0) ** 2;
  const hop = lines / 2;
  const segments = Math.floor((count - lines) / hop) + 1;
  const power = new Float64Array(lines);
  const re = new Float64Array(lines);
  const im = new Float64Array(lines);
  for (let segment = 0; segment < segments; segment++) {
    const first = segment * hop;
    for (let n = 0; n < lines; n++) {
      re[n] = iq[2 * (first + n)]! * window[n]!;
      im[n] = iq[2 * (first + n) + 1]! * window[n]!;
    }
    fft.forward(re, im);
    for (let k = 0; k < lines; k++) {
      const bin = (k + lines / 2) % lines;
      power[k] = power[k]! + (scale / segments) * (re[bin]! ** 2 + im[bin]! ** 2);
    }
  }
  return { power, lineHz: rateHz / lines, resolutionHz: (HANN_LINES * rateHz) / lines, segments, noise: quiet(power) };
}

/** The quiet quarter of the lines: what is sent seldom fills more than three quarters of a band. */
function quiet(power: Float64Array): number {
  const edge = Math.floor(EDGE_SHARE * power.length);
  const sorted = power.slice(edge, power.length - edge).sort();
  return sorted[Math.floor(QUIET_SHARE * (sorted.length - 1))]!;
}
