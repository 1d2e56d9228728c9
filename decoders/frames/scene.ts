import { keepBand } from "../signal/band.ts";
import { carsonBandwidthHz } from "../signal/bandwidth.ts";
import { type Baseband, toBaseband } from "../signal/baseband.ts";
import type { Tuning } from "../signal/captures.ts";
import type { Ffts } from "../signal/fft.ts";
import type { HeardBurst } from "../signal/heardBurst.ts";
import type { Place } from "../signal/keying.ts";
import type { Sent } from "../signal/subtract.ts";
import type { Stretch } from "../signal/trim.ts";
import type { AcceptedFrame } from "./burstReading.ts";
import type { FramePlan } from "./frameChecks.ts";

/** Kept on both sides of the band in which a burst was found. */
const GUARD_HZ = 30_000;
/** A burst in its own baseband, and how to get from there to the recording's time and frequency. */
export interface Scene {
  readonly burst: HeardBurst;
  readonly tuning: Tuning;
  readonly ffts: Ffts;
  readonly base: Baseband;
  /** The burst's band, relative to the baseband's zero. */
  readonly lowHz: number;
  readonly highHz: number;
  /** The band that noise was left in. */
  readonly noiseHz: number;
  /** How the frames that were read here lie in the baseband. */
  readonly sent: Map<AcceptedFrame, Sent>;
}

/** Samples a second that a close look leaves at least, and to each hertz of a layout's band. */
const CLOSE_RATE_HZ = 200_000;
const CLOSE_OVERSAMPLING = 2;
const WHOLE_RATE_HZ = 500_000;
/** What a close look takes of the samples behind a burst: enough to see that nothing comes. */
const CLOSE_MARGIN_SECONDS = 0.002;

/** A burst with little around it, at few samples a symbol. */
export function closeScene(burst: HeardBurst, tuning: Tuning, plans: readonly FramePlan[], ffts: Ffts): Scene {
  const { middleHz, halfHz } = bandOf(burst);
  const wide = plans.map(({ layout }) => carsonBandwidthHz(layout.deviationHz ?? 0, 2 * layout.symbolRate));
  const leastHz = Math.max(CLOSE_RATE_HZ, ...wide.map((hz) => CLOSE_OVERSAMPLING * hz));
  const iq = burst.iqUntil(burst.endSample + Math.ceil(CLOSE_MARGIN_SECONDS * tuning.sampleRateHz));
  const base = toBaseband(iq, burst.firstSample, tuning.sampleRateHz, middleHz, fastest(plans), leastHz);
  // What the filter of a lower rate lets through.
  const noiseHz = base.decimation === 1 ? base.rateHz : 0.8 * base.rateHz;
  return { burst, tuning, ffts, base, lowHz: -halfHz, highHz: halfHz, noiseHz, sent: new Map() };
}

/** All that was kept of a burst, a strong neighbour taken away. */
export function wholeScene(burst: HeardBurst, tuning: Tuning, plans: readonly FramePlan[], ffts: Ffts): Scene {
  const { middleHz, halfHz } = bandOf(burst);
  const base = toBaseband(burst.iq, burst.firstSample, tuning.sampleRateHz, middleHz, fastest(plans), WHOLE_RATE_HZ);
  const kept = keepBand(base, -halfHz - GUARD_HZ, halfHz + GUARD_HZ, ffts);
  const noiseHz = Math.min(base.rateHz, 2 * (halfHz + GUARD_HZ));
  return { burst, tuning, ffts, base: kept, lowHz: -halfHz, highHz: halfHz, noiseHz, sent: new Map() };
}

function fastest(plans: readonly FramePlan[]): number {
  return Math.max(0, ...plans.map((plan) => plan.layout.symbolRate));
}

function bandOf({ lowHz, highHz }: HeardBurst): { middleHz: number; halfHz: number } {
  return { middleHz: (lowHz + highHz) / 2, halfHz: (highHz - lowHz) / 2 };
}

export function placeOf({ burst, base, lowHz, highHz, ffts }: Scene, stretch: Stretch): Place {
  return { base, stretch, lowHz, highHz, noiseDensity: burst.noiseDensity, ffts };
}

export function elementsOf({ burst, base }: Scene): Stretch {
  const element = (sample: number) => (sample - burst.firstSample) / base.decimation;
  return {
    from: Math.max(0, Math.floor(element(burst.startSample))),
    to: Math.min(base.re.length, Math.ceil(element(burst.endSample))),
  };
}

export function secondsAt({ burst, tuning, base }: Scene, element: number): number {
  return tuning.startSeconds + (burst.firstSample + element * base.decimation) / tuning.sampleRateHz;
}

/** Carrier of something at `hz` in the burst's baseband. */
export function carrierAt({ tuning, base }: Scene, hz: number): number {
  return (tuning.centreHz ?? 0) + base.centreHz + hz;
}

/** The share of a stretch that frames have to fill for it to be done with. */
export const ALL_OF_IT = 0.9;

/** Whether frames that were read fill a share of a stretch. */
export function isExplained(
  scene: Scene,
  stretch: Stretch,
  accepted: readonly AcceptedFrame[],
  least: number,
): boolean {
  const from = secondsAt(scene, stretch.from);
  const to = secondsAt(scene, stretch.to);
  let shared = 0;
  for (const frame of accepted) {
    shared += Math.max(0, Math.min(to, frame.atSeconds + frame.durationSeconds) - Math.max(from, frame.atSeconds));
  }
  return shared > least * (to - from);
}
