import type { Scenario } from "./scenario.ts";

/** A stretch of a recording at one centre frequency; half open, in samples. */
export interface Tuning {
  readonly fromSample: number;
  readonly toSample: number;
  readonly carrierHz: number;
}

/** The stretches that make up the whole recording, in order; none is empty. */
export function tuningsOf({ receiver, durationSeconds }: Scenario): Tuning[] {
  const end = Math.round(durationSeconds * receiver.sampleRateHz);
  return receiver.tunings
    .map(({ fromSeconds, carrierHz }, i) => {
      const next = receiver.tunings[i + 1];
      const toSample = next ? Math.round(next.fromSeconds * receiver.sampleRateHz) : end;
      return {
        fromSample: Math.round(fromSeconds * receiver.sampleRateHz),
        toSample: Math.min(toSample, end),
        carrierHz,
      };
    })
    .filter(({ fromSample, toSample }) => fromSample < toSample);
}
