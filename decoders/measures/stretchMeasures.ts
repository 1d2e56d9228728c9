import type { Ffts } from "../signal/fft.ts";
import { quietDensity } from "./quietDensity.ts";

/** What can be told of a stretch whatever is in it; over the whole band of the capture. */
export interface StretchMeasures {
  readonly levelDbfs: number;
  readonly peakDbfs: number;
  readonly noiseDbfs: number;
  readonly noiseDbfsPerHz: number;
  /** Samples at the end of the scale, 0 to 1. */
  readonly clippedShare: number;
}

/** @param iq Interleaved samples, at least one. @param clipped How many of them are at the end of the scale. */
export function stretchMeasures(iq: Float32Array, sampleRateHz: number, clipped: number, ffts: Ffts): StretchMeasures {
  let sum = 0;
  let peak = 0;
  for (let i = 0; i < iq.length; i += 2) {
    const power = iq[i]! * iq[i]! + iq[i + 1]! * iq[i + 1]!;
    sum += power;
    if (power > peak) peak = power;
  }
  const density = quietDensity(iq, sampleRateHz, ffts);
  return {
    levelDbfs: decibels(sum / (iq.length / 2)),
    peakDbfs: decibels(peak),
    noiseDbfs: decibels(density * sampleRateHz),
    noiseDbfsPerHz: decibels(density),
    clippedShare: clipped / (iq.length / 2),
  };
}

/** Of power, full scale 1; digital silence is told as -200 dB. */
export function decibels(power: number): number {
  return 10 * Math.log10(Math.max(power, 1e-20));
}
