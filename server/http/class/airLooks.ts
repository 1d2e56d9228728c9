import { powerSpectrum } from "../../../decoders/measures/powerSpectrum.ts";
import { createFfts } from "../../../decoders/signal/fft.ts";

/** A stretch whose power over frequency is wanted. */
export interface SpectrumOrder {
  readonly fromSeconds: number;
  readonly toSeconds: number;
  /** A power of two, at most as many as the stretch has samples. */
  readonly lines: number;
}

export interface AirSpectrum extends SpectrumOrder {
  /** From the centre. */
  readonly lowHz: number;
  readonly lineHz: number;
  readonly resolutionHz: number;
  readonly segments: number;
  /** Lowest frequency first. */
  readonly dbfs: readonly number[];
  readonly noiseDbfs: number;
}

/** Samples in a row, as they are. */
export interface SamplesOrder {
  readonly fromSeconds: number;
  readonly count: number;
}

export interface AirSamples {
  readonly fromSample: number;
  /** Interleaved, I first, 1 at full scale. */
  readonly iq: readonly number[];
}

const ffts = createFfts();
const SILENCE_DBFS = -200;

/** @param iq Of the whole recording, interleaved. */
export function spectrumOf(order: SpectrumOrder, iq: Float32Array, rateHz: number): AirSpectrum {
  const stretch = iq.subarray(2 * sampleAt(order.fromSeconds, iq, rateHz), 2 * sampleAt(order.toSeconds, iq, rateHz));
  const { power, lineHz, resolutionHz, segments, noise } = powerSpectrum(stretch, rateHz, order.lines, ffts);
  return {
    ...order,
    lowHz: -rateHz / 2 - lineHz / 2,
    lineHz,
    resolutionHz,
    segments,
    dbfs: Array.from(power, (one) => Number(dbfs(one).toFixed(2))),
    noiseDbfs: Number(dbfs(noise).toFixed(2)),
  };
}

/** Fewer where the recording ends before. */
export function samplesOf(order: SamplesOrder, iq: Float32Array, rateHz: number): AirSamples {
  const fromSample = sampleAt(order.fromSeconds, iq, rateHz);
  const cut = iq.subarray(2 * fromSample, 2 * (fromSample + order.count));
  return { fromSample, iq: Array.from(cut, (value) => Number(value.toPrecision(4))) };
}

function sampleAt(seconds: number, iq: Float32Array, rateHz: number): number {
  return Math.min(iq.length >> 1, Math.max(0, Math.round(seconds * rateHz)));
}

function dbfs(power: number): number {
  return power > 0 ? Math.max(SILENCE_DBFS, 10 * Math.log10(power)) : SILENCE_DBFS;
}
