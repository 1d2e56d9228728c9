import { createFft } from "./fft.ts";

/** How a sample rate is cut into channels and time steps. */
export interface Grid {
  /** Channels, a power of two; channel 0 is the lowest frequency, channel size/2 the centre. */
  readonly channels: number;
  readonly channelHz: number;
  /** Samples of one time step: a whole number of transforms. */
  readonly stepSamples: number;
  readonly stepSeconds: number;
  /** Transforms averaged in one step. */
  readonly averages: number;
}

/** Channels of about 12 kHz and steps of about half a millisecond: a telegram's keying fills both. */
export function gridFor(sampleRateHz: number): Grid {
  const wanted = 2 ** Math.round(Math.log2(sampleRateHz / 12_000));
  const channels = Math.min(8192, Math.max(32, wanted));
  const averages = Math.max(1, Math.round((0.0005 * sampleRateHz) / channels));
  const stepSamples = averages * channels;
  return {
    channels,
    channelHz: sampleRateHz / channels,
    stepSamples,
    stepSeconds: stepSamples / sampleRateHz,
    averages,
  };
}

/**
 * Writes the power of one time step in each channel.
 *
 * @param iq Interleaved samples of one step, length 2·stepSamples.
 * @param out Length `channels`. Scaled so that white noise of power p gives p in every channel.
 */
export type Channeliser = (iq: Float32Array, out: Float32Array) => void;

export function createChanneliser(grid: Grid): Channeliser {
  const { channels, averages } = grid;
  const fft = createFft(channels);
  const window = new Float64Array(channels);
  let windowPower = 0;
  for (let i = 0; i < channels; i++) {
    window[i] = 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / channels); // Hann: a strong burst stays in its channels
    windowPower += window[i]! ** 2;
  }
  const scale = 1 / (averages * windowPower);
  const re = new Float64Array(channels);
  const im = new Float64Array(channels);
  const half = channels / 2;
  return (iq, out) => {
    out.fill(0);
    for (let a = 0, at = 0; a < averages; a++) {
      for (let i = 0; i < channels; i++, at += 2) {
        const w = window[i]!;
        re[i] = iq[at]! * w;
        im[i] = iq[at + 1]! * w;
      }
      fft.forward(re, im);
      for (let i = 0; i < channels; i++) {
        const channel = i < half ? i + half : i - half;
        out[channel] = out[channel]! + (re[i]! * re[i]! + im[i]! * im[i]!) * scale;
      }
    }
  };
}
