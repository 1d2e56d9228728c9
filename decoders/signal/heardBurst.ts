import type { SampleType } from "../sources.ts";
import { bytesPerSample, toFloats } from "./samples.ts";

/** Where a burst lies and how it stands out. Frequencies are relative to the tuned centre. */
export interface BurstPlace {
  /** Sample indices from the start of the capture; end half open. To about half a millisecond. */
  readonly startSample: number;
  readonly endSample: number;
  readonly lowHz: number;
  readonly highHz: number;
  /** Noise power per hertz, full scale 1. */
  readonly noiseDensity: number;
  /** Strongest power in one channel and step over the noise there, as a ratio. */
  readonly peakOverNoise: number;
  /** Sample index of the first sample that was kept. */
  readonly firstSample: number;
  /** Samples at the end of the scale between start and end, as a share. */
  readonly clippedShare: number;
  /** Too low to be believed by itself: a few a second are noise. It counts only together with its repeats. */
  readonly faint: boolean;
  readonly cutByStart: boolean;
  readonly cutByEnd: boolean;
}

/** A stretch in which something was sent, with its samples as they stand in the recording: data that a thread can be sent. */
export interface KeptBurst {
  readonly place: BurstPlace;
  readonly sampleType: SampleType;
  /** The burst with a margin on both sides where there is one. */
  readonly bytes: Uint8Array;
}

/** A stretch in which something was sent, with its samples. */
export interface HeardBurst extends BurstPlace {
  /** What it is made of. */
  readonly kept: KeptBurst;
  /** Interleaved samples of the burst with a margin on both sides where there is one. */
  readonly iq: Float32Array;
  /** The first of these, up to a sample of the capture or the last one. */
  iqUntil(sample: number): Float32Array;
}

/** Floats are made when somebody asks: the margins are long, and a list of bursts needs none of it. */
export function heardBurst(kept: KeptBurst): HeardBurst {
  const { place, sampleType, bytes } = kept;
  const size = bytesPerSample(sampleType);
  let iq: Float32Array | undefined;
  const floatsOf = (part: Uint8Array) => {
    const out = new Float32Array((2 * part.length) / size);
    toFloats(sampleType, part, out);
    return out;
  };
  return {
    ...place,
    kept,
    get iq() {
      iq ??= floatsOf(bytes);
      return iq;
    },
    iqUntil(sample) {
      const count = Math.max(0, Math.min(bytes.length / size, sample - place.firstSample));
      return iq ? iq.subarray(0, 2 * count) : floatsOf(bytes.subarray(0, count * size));
    },
  };
}
