import type { SampleSource } from "../sources.ts";
import { type Baseband, toBaseband } from "./baseband.ts";
import { captures, type Tuning } from "./captures.ts";
import type { HeardBurst } from "./heardBurst.ts";
import type { Stretch } from "./trim.ts";

/** What was kept of a burst that is to be looked at beside others. */
export interface Waveform {
  /** The burst with what was kept around it. */
  readonly base: Baseband;
  /** Where in it the burst was heard, in elements. */
  readonly heard: Stretch;
  /** Seconds from the recording's first sample to element 0. */
  readonly startSeconds: number;
  /** Of the baseband's zero; relative to the tuned centre where the recording does not say where that was. */
  readonly carrierHz: number;
  /** Where it was found, relative to the baseband's zero. */
  readonly lowHz: number;
  readonly highHz: number;
  /** Noise power per hertz, full scale 1. */
  readonly noiseDensity: number;
}

/** Samples a second that are kept at least. */
const LEAST_RATE_HZ = 200_000;

/** The bursts of a recording, in the order in which they were heard; each takes about a megabyte a second. */
export async function* waveforms(source: SampleSource): AsyncGenerator<Waveform, void, undefined> {
  for await (const { bursts, tuning } of captures(source, 0)) {
    for (const burst of bursts) yield waveformOf(burst, tuning);
  }
}

function waveformOf(burst: HeardBurst, { sampleRateHz, centreHz, startSeconds }: Tuning): Waveform {
  const middleHz = (burst.lowHz + burst.highHz) / 2;
  const halfHz = (burst.highHz - burst.lowHz) / 2;
  const base = toBaseband(burst.iq, burst.firstSample, sampleRateHz, middleHz, 0, Math.max(LEAST_RATE_HZ, 3 * halfHz));
  const element = (sample: number) => (sample - burst.firstSample) / base.decimation;
  return {
    base,
    heard: {
      from: Math.max(0, Math.floor(element(burst.startSample))),
      to: Math.min(base.re.length, Math.ceil(element(burst.endSample))),
    },
    startSeconds: startSeconds + burst.firstSample / sampleRateHz,
    carrierHz: (centreHz ?? 0) + middleHz,
    lowHz: -halfHz,
    highHz: halfHz,
    noiseDensity: burst.noiseDensity,
  };
}
