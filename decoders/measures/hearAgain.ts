import type { FramePlan } from "../frames/frameChecks.ts";
import { elementsOf, placeOf, type Scene, wholeScene } from "../frames/scene.ts";
import type { Tuning } from "../signal/captures.ts";
import type { BurstSignal } from "../signal/detector.ts";
import { createEar } from "../signal/ear.ts";
import type { Ffts } from "../signal/fft.ts";
import type { HeardBurst } from "../signal/heardBurst.ts";
import { measureBurst } from "../signal/keying.ts";
import type { SampleType } from "../sources.ts";

/** Samples of one capture, cut out of a recording. */
export interface Cutout {
  readonly sampleType: SampleType;
  /** Whole samples. */
  readonly bytes: Uint8Array;
  readonly sampleRateHz: number;
  /** `undefined`: the recording does not say. */
  readonly centreHz: number | undefined;
  /** Sample of the recording that the first one is. */
  readonly firstSample: number;
}

/** Where a burst is to be looked for; times are samples of the recording. */
export interface Sought {
  readonly fromSample: number;
  readonly toSample: number;
  /** At RF, the middle of its band; `undefined`: anywhere. */
  readonly carrierHz: number | undefined;
  /** How far its band reaches to both sides of that; `undefined`: as it was found. */
  readonly reachHz: number | undefined;
}

/** A burst that was heard anew, measured without any layout. */
export interface Look {
  readonly burst: HeardBurst;
  readonly scene: Scene;
  readonly signal: BurstSignal;
}

/** A carrier this far outside the band in which a burst stood out may still be its own. */
const NEAR_HZ = 20_000;
/** Looked at on both sides of what is sought. */
const MARGIN_SECONDS = 0.001;

/**
 * The burst of a cutout that fills most of a stretch, heard as the first time; `undefined` where none does.
 *
 * @param cutout With what was quiet around the burst: it tells the noise.
 * @param plans What may be looked for in it: sets how fast the baseband has to be.
 */
export function hearAgain(cutout: Cutout, sought: Sought, plans: readonly FramePlan[], ffts: Ffts): Look | undefined {
  const { sampleType, bytes, sampleRateHz, centreHz, firstSample } = cutout;
  const widestHz = Math.max(0, ...plans.map(({ layout }) => 2 * (layout.deviationHz ?? 0)));
  const ear = createEar(sampleType, sampleRateHz, widestHz);
  const heard = [...ear.push(bytes), ...ear.end()].filter((burst) => !burst.faint);
  const tuning: Tuning = { sampleRateHz, centreHz, startSeconds: firstSample / sampleRateHz };
  let best: HeardBurst | undefined;
  let most = 0;
  for (const burst of heard) {
    if (!isNear(burst, centreHz, sought.carrierHz)) continue;
    const from = Math.max(sought.fromSample, firstSample + burst.startSample);
    const shared = Math.min(sought.toSample, firstSample + burst.endSample) - from;
    if (shared <= most) continue;
    best = burst;
    most = shared;
  }
  return best && lookAt(best, tuning, sought, plans, ffts);
}

function isNear({ lowHz, highHz }: HeardBurst, centreHz: number | undefined, carrierHz: number | undefined): boolean {
  if (carrierHz === undefined) return true;
  const offsetHz = carrierHz - (centreHz ?? 0);
  return offsetHz > lowHz - NEAR_HZ && offsetHz < highHz + NEAR_HZ;
}

/** A burst may hold more than what is sought: other copies, other senders. Only about the stretch and its band is looked at. */
function lookAt(burst: HeardBurst, tuning: Tuning, sought: Sought, plans: readonly FramePlan[], ffts: Ffts): Look {
  const scene = within(wholeScene(burst, tuning, plans, ffts), sought);
  const { decimation } = scene.base;
  const first = Math.round(tuning.startSeconds * tuning.sampleRateHz) + burst.firstSample;
  const margin = Math.ceil((MARGIN_SECONDS * tuning.sampleRateHz) / decimation);
  const all = elementsOf(scene);
  const stretch = {
    from: Math.max(all.from, Math.floor((sought.fromSample - first) / decimation) - margin),
    to: Math.min(all.to, Math.ceil((sought.toSample - first) / decimation) + margin),
  };
  const { whole, keying } = measureBurst(placeOf(scene, stretch));
  const { noiseDensity } = burst;
  return { burst, scene, signal: { base: scene.base, keying, ...whole, noiseDensity, ffts } };
}

function within(scene: Scene, { carrierHz, reachHz }: Sought): Scene {
  if (carrierHz === undefined || reachHz === undefined) return scene;
  const middleHz = carrierHz - (scene.tuning.centreHz ?? 0) - scene.base.centreHz;
  const lowHz = Math.max(scene.lowHz, middleHz - reachHz);
  const highHz = Math.min(scene.highHz, middleHz + reachHz);
  return highHz > lowHz ? { ...scene, lowHz, highHz } : scene;
}

/** Sample of the recording at which an element of the burst's baseband begins: its samples stand for the time about them. */
export function sampleAt({ burst, scene }: Look, element: number): number {
  const { tuning, base } = scene;
  const first = Math.round(tuning.startSeconds * tuning.sampleRateHz) + burst.firstSample;
  return first + (element - 0.5) * base.decimation;
}
