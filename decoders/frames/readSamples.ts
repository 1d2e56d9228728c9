import type { Tuning } from "../signal/captures.ts";
import { createFfts } from "../signal/fft.ts";
import type { HeardBurst } from "../signal/heardBurst.ts";
import { type Keying, measureBurst, measureKeying } from "../signal/keying.ts";
import { hasCopies } from "../signal/matched.ts";
import { riseWithin } from "../signal/overlap.ts";
import type { Stretch } from "../signal/trim.ts";
import {
  type AcceptedFrame,
  type BurstFigures,
  type BurstReading,
  fittingPlans,
  withoutOverlap,
} from "./burstReading.ts";
import type { FramePlan } from "./frameChecks.ts";
import { readStretch } from "./readStretch.ts";

import {
  ALL_OF_IT,
  carrierAt,
  closeScene,
  elementsOf,
  isExplained,
  placeOf,
  type Scene,
  secondsAt,
  wholeScene,
} from "./scene.ts";
import { secondSender } from "./secondSender.ts";

/** A clock found with less than this scatter, over enough edges, is the burst's. */
const STEADY_JITTER = 0.15;
const STEADY_EDGES = 24;
/** A part of a burst that no frame explains is looked at by itself if it is at least this long. */
const LEAST_PART_SECONDS = 0.004;

/** The share of a part that frames have to fill for it not to be looked at again. */
const HALF_OF_IT = 0.5;

/** Fewer samples a symbol than this tell nothing of its keying. */
const LEAST_SAMPLES_A_SYMBOL = 2;

/** Measures a burst of samples, then lets every layout that fits it try to read it. */
export type SampleReader = (burst: HeardBurst, tuning: Tuning) => BurstReading;

/**
 * A reader for one set of layouts, which keeps the tables it needs again and again.
 *
 * Most bursts are one telegram, strong enough: they are looked at closely, with few samples. Where that leaves anything
 * open, the burst is looked at anew, with all that was kept of it.
 */
export function createSampleReader(plans: readonly FramePlan[]): SampleReader {
  const ffts = createFfts();
  return (burst, tuning) => {
    // A layout too fast for the recording's rate cannot be read from it.
    const slowEnough = plans.filter((plan) => plan.layout.symbolRate * LEAST_SAMPLES_A_SYMBOL <= tuning.sampleRateHz);
    if (burst.faint) {
      // It is good for nothing but being added to others, and is read once.
      const repeating = slowEnough.filter(({ layout }) => hasCopies(layout));
      return lookAt(closeScene(burst, tuning, repeating, ffts), repeating, false);
    }
    return (
      lookAt(closeScene(burst, tuning, slowEnough, ffts), slowEnough, true) ??
      lookAt(wholeScene(burst, tuning, slowEnough, ffts), slowEnough, false)
    );
  };
}

/** @returns `undefined` where all must be explained, and something is not. */
function lookAt(scene: Scene, plans: readonly FramePlan[], explainAll: true): BurstReading | undefined;
function lookAt(scene: Scene, plans: readonly FramePlan[], explainAll: false): BurstReading;
function lookAt(scene: Scene, plans: readonly FramePlan[], explainAll: boolean): BurstReading | undefined {
  const { whole, parts, keying } = measureBurst(placeOf(scene, elementsOf(scene)));
  const figures = figuresOf(scene, whole, keying);
  const fitting = fittingPlans(plans, steadyFigures(figures, keying));
  const { accepted, attempts, copies } = readStretch(scene, whole, keying, fitting.keyedSo);
  if (explainAll && !isExplained(scene, whole, accepted, ALL_OF_IT)) return undefined;

  // Two senders with less than a burst's silence between them may differ in keying: the parts one by one.
  if (parts.length > 1) {
    for (const part of parts) {
      if ((part.to - part.from) / scene.base.rateHz < LEAST_PART_SECONDS) continue;
      if (isExplained(scene, part, accepted, HALF_OF_IT)) continue;
      if (explainAll) return undefined;
      const own = measureKeying(placeOf(scene, part));
      const keyedSo = fittingPlans(plans, steadyFigures(figuresOf(scene, part, own), own)).keyedSo;
      const read = readStretch(scene, part, own, keyedSo);
      accepted.push(...read.accepted);
      attempts.push(...read.attempts);
      copies.push(...read.copies);
    }
  }
  const best = withoutOverlap(accepted);
  const second = secondSender(
    scene,
    best,
    explainAll
      ? undefined
      : (left, over) => {
          const now = { ...scene, base: left };
          const own = measureKeying(placeOf(now, over));
          const { keyedSo } = fittingPlans(plans, steadyFigures(figuresOf(now, over, own), own));
          // It may have begun before the first, or go on after it.
          const around = { from: Math.min(over.from, whole.from), to: Math.max(over.to, whole.to) };
          return withoutOverlap(readStretch(now, around, own, keyedSo).accepted);
        },
  );
  if (second === "open") return undefined;
  const both = [...best, ...second.accepted].sort((a, b) => a.atSeconds - b.atSeconds);
  const goesOnFrom = figures.atSeconds + figures.durationSeconds;
  const overlapFrom = best.length > 0 ? second.from : riseWithin(scene.base, whole);
  return {
    figures: {
      ...refined(figures, best),
      overlapFromSeconds: overlapFrom === undefined ? undefined : secondsAt(scene, overlapFrom) - figures.atSeconds,
    },
    accepted: both,
    attempts,
    copies,
    faint: scene.burst.faint,
    goesOnFrom,
    ...fitting,
  };
}

function figuresOf(scene: Scene, stretch: Stretch, keying: Keying): BurstFigures {
  const { burst, tuning } = scene;
  const atSeconds = secondsAt(scene, stretch.from);
  return {
    atSeconds,
    durationSeconds: secondsAt(scene, stretch.to) - atSeconds,
    carrierHz: carrierAt(scene, keying.centreHz),
    carrierKnown: tuning.centreHz !== undefined,
    modulation: keying.modulation,
    deviationHz: keying.deviationHz,
    symbolRate: keying.symbols?.rateHz,
    symbolRateSigma: keying.symbols?.rateSigmaHz,
    jitter: keying.symbols?.jitter,
    snrDb: 10 * Math.log10(Math.max(keying.snr, 1e-2)),
    levelDbfs: 10 * Math.log10(keying.power),
    clippedShare: burst.clippedShare,
    cutByStart: burst.cutByStart,
    cutByEnd: burst.cutByEnd,
    symbols: keying.symbols?.symbols,
    overlapFromSeconds: undefined,
  };
}

/** A rate that was not measured well must not keep a layout from trying. */
function steadyFigures(figures: BurstFigures, keying: Keying): BurstFigures {
  return {
    ...figures,
    modulation: keying.sure ? figures.modulation : undefined,
    symbolRate: isSteady(keying) && keying.sure ? figures.symbolRate : undefined,
  };
}

function isSteady({ symbols }: Keying): boolean {
  return symbols !== undefined && symbols.jitter < STEADY_JITTER && symbols.edges >= STEADY_EDGES;
}

/**
 * A frame that was read tells carrier, deviation and rate better than the blind measure, and it may go on through a
 * silence that seemed to end the burst.
 */
function refined(figures: BurstFigures, frames: readonly AcceptedFrame[]): BurstFigures {
  const best = frames[0];
  if (!best) return figures;
  const ends = frames.map((frame) => frame.atSeconds + frame.durationSeconds - figures.atSeconds);
  return {
    ...figures,
    durationSeconds: figures.cutByEnd ? figures.durationSeconds : Math.max(figures.durationSeconds, ...ends),
    carrierHz: best.carrierHz,
    modulation: best.reading.plan.layout.modulation,
    deviationHz: best.deviationHz,
    symbolRate: best.symbolRate,
  };
}
