import { keepBand } from "../signal/band.ts";
import { carsonBandwidthHz } from "../signal/bandwidth.ts";
import { type Baseband, toBaseband } from "../signal/baseband.ts";
import type { Tuning } from "../signal/captures.ts";
import type { BurstSignal } from "../signal/detector.ts";
import { createFfts, type Ffts } from "../signal/fft.ts";
import type { HeardBurst } from "../signal/heardBurst.ts";
import { type Keying, measureBurst, measureKeying, type Place } from "../signal/keying.ts";
import { findFrames } from "../signal/matched.ts";
import { measureTones } from "../signal/measureTones.ts";
import { riseWithin } from "../signal/overlap.ts";
import type { SoftFrame, Tracked } from "../signal/refine.ts";
import type { Sent } from "../signal/subtract.ts";
import type { Stretch } from "../signal/trim.ts";
import {
  type AcceptedFrame,
  type Attempt,
  type BurstFigures,
  type BurstReading,
  bestAttempt,
  type Candidate,
  fittingPlans,
  isAccepted,
  isStart,
  judged,
  withoutOverlap,
} from "./burstReading.ts";
import { afterTwoLooks, leastProbability } from "./falseAccept.ts";
import type { FramePlan } from "./frameChecks.ts";
import { toSymbols } from "./likeliest.ts";
import { knownLog, readFrame } from "./readFrame.ts";
import { secondSender } from "./secondSender.ts";

/** A clock found with less than this scatter, over enough edges, is the burst's. */
const STEADY_JITTER = 0.15;
const STEADY_EDGES = 24;
/** Kept on both sides of the band in which a burst was found. */
const GUARD_HZ = 30_000;
/** A part of a burst that no frame explains is looked at by itself if it is at least this long. */
const LEAST_PART_SECONDS = 0.004;

/** Shares of a stretch that frames have to fill: to be done with it, and for a part of it not to be looked at again. */
const ALL_OF_IT = 0.9;
const HALF_OF_IT = 0.5;

/** Fewer samples a symbol than this tell nothing of its keying. */
const LEAST_SAMPLES_A_SYMBOL = 2;

/** Surer than this nothing is gained by a second look; and no more places of a stretch than this get one. */
const SURE = 1e-6;
const MOST_TRACKED = 4;

/** A burst in its own baseband, and how to get from there to the recording's time and frequency. */
interface Scene {
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
  const { accepted, attempts } = readStretch(scene, whole, keying, fitting.keyedSo);
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
    goesOnFrom,
    ...fitting,
  };
}

/** Samples a second that a close look leaves at least, and to each hertz of a layout's band. */
const CLOSE_RATE_HZ = 200_000;
const CLOSE_OVERSAMPLING = 2;
const WHOLE_RATE_HZ = 500_000;
/** What a close look takes of the samples behind a burst: enough to see that nothing comes. */
const CLOSE_MARGIN_SECONDS = 0.002;

/** A burst with little around it, at few samples a symbol. */
function closeScene(burst: HeardBurst, tuning: Tuning, plans: readonly FramePlan[], ffts: Ffts): Scene {
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
function wholeScene(burst: HeardBurst, tuning: Tuning, plans: readonly FramePlan[], ffts: Ffts): Scene {
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

function placeOf({ burst, base, lowHz, highHz, ffts }: Scene, stretch: Stretch): Place {
  return { base, stretch, lowHz, highHz, noiseDensity: burst.noiseDensity, ffts };
}

function elementsOf({ burst, base }: Scene): Stretch {
  const element = (sample: number) => (sample - burst.firstSample) / base.decimation;
  return {
    from: Math.max(0, Math.floor(element(burst.startSample))),
    to: Math.min(base.re.length, Math.ceil(element(burst.endSample))),
  };
}

function secondsAt({ burst, tuning, base }: Scene, element: number): number {
  return tuning.startSeconds + (burst.firstSample + element * base.decimation) / tuning.sampleRateHz;
}

/** Carrier of something at `hz` in the burst's baseband. */
function carrierAt({ tuning, base }: Scene, hz: number): number {
  return (tuning.centreHz ?? 0) + base.centreHz + hz;
}

/** Whether frames that were read fill a share of a stretch. */
function isExplained(scene: Scene, stretch: Stretch, accepted: readonly AcceptedFrame[], least: number): boolean {
  const from = secondsAt(scene, stretch.from);
  const to = secondsAt(scene, stretch.to);
  let shared = 0;
  for (const frame of accepted) {
    shared += Math.max(0, Math.min(to, frame.atSeconds + frame.durationSeconds) - Math.max(from, frame.atSeconds));
  }
  return shared > least * (to - from);
}

function readStretch(
  scene: Scene,
  stretch: Stretch,
  keying: Keying,
  plans: readonly FramePlan[],
): { accepted: AcceptedFrame[]; attempts: Attempt[] } {
  const accepted: AcceptedFrame[] = [];
  const attempts: Attempt[] = [];
  if (keying.modulation === undefined) return { accepted, attempts };
  const signal: BurstSignal = { base: scene.base, keying, ...stretch, noiseDensity: scene.burst.noiseDensity };
  let left = nearestFirst(plans, keying);
  for (let plan = left[0]; plan; plan = left[0]) {
    const search = findFrames(signal, plan.layout, plan.mostSymbols);
    const softs = search.frames;
    const candidates = softs.map((soft) => candidateOf(plan, soft, soft));
    const plain = judged(plan, candidates);
    const tracked = trackedCandidates(plan, softs, candidates, plain);
    const followed = judged(
      plan,
      candidates.map((candidate, i) => tracked[i] ?? candidate),
    );
    softs.forEach((soft, i) => {
      const chosen = chosenOf(
        plan,
        { candidate: candidates[i]!, probability: plain[i] },
        tracked[i] && { candidate: tracked[i]!, probability: followed[i] },
      );
      if (!chosen || !isAccepted(chosen.candidate.reading, chosen.probability)) return;
      const frame = acceptedFrame(scene, soft, chosen.candidate, chosen.probability);
      scene.sent.set(frame, sentOf(scene, soft, chosen.candidate, frame));
      accepted.push(frame);
    });
    attempts.push(
      bestAttempt(plan, candidates) ?? {
        plan,
        correlation: search.bestCorrelation,
        syncErrors: search.bestSyncErrors,
        reading: undefined,
      },
    );
    left = stillPossible(left.slice(1), scene, stretch, accepted);
  }
  return { accepted, attempts };
}

/** The layout that is likeliest to read a burst comes first. */
function nearestFirst(plans: readonly FramePlan[], { symbols }: Keying): readonly FramePlan[] {
  if (!symbols) return plans;
  const off = (plan: FramePlan) => Math.abs(Math.log(symbols.rateHz / plan.layout.symbolRate));
  return [...plans].sort((a, b) => off(a) - off(b));
}

/** Once frames that are sure fill a stretch, only a layout that is keyed as they are could have sent it. */
function stillPossible(
  plans: readonly FramePlan[],
  scene: Scene,
  stretch: Stretch,
  accepted: readonly AcceptedFrame[],
): readonly FramePlan[] {
  const sure = accepted.filter((frame) => {
    // Twice what is least, and twice again where the phase was tracked as well.
    const least = leastProbability(frame.reading.plan.guardBits);
    return frame.falseAcceptProbability <= Math.max(SURE, 4 * least);
  });
  if (!isExplained(scene, stretch, sure, ALL_OF_IT)) return plans;
  return plans.filter((plan) =>
    sure.some(({ reading, carrierHz, symbolRate }) => {
      const { modulation } = reading.plan.layout;
      const keyed = { carrierHz, carrierKnown: false, modulation, symbolRate, symbolRateSigma: undefined };
      return fittingPlans([plan], keyed).keyedSo.length > 0;
    }),
  );
}

function candidateOf(plan: FramePlan, soft: SoftFrame, seen: Tracked): Candidate {
  const syncLog = knownLog(seen.syncEvidence, plan.layout.sync.symbols);
  const reading = readFrame(plan, seen.evidence, soft.inside, syncLog);
  const length = reading.likeliest.symbols.length * soft.period;
  return { ...soft, syncErrors: seen.syncErrors, reading, length, symbol: soft.period };
}

/** Read with the phase tracked, where the plain detector is not sure already and something like a start is there. */
function trackedCandidates(
  plan: FramePlan,
  softs: readonly SoftFrame[],
  candidates: readonly Candidate[],
  plain: readonly (number | undefined)[],
): (Candidate | undefined)[] {
  const sureAt = Math.max(SURE, 2 * leastProbability(plan.guardBits));
  const sure = candidates.filter((_, i) => (plain[i] ?? 1) <= sureAt);
  let left = MOST_TRACKED;
  return softs.map((soft, i) => {
    const one = candidates[i]!;
    if (left === 0 || !isStart(plan, one.syncErrors)) return undefined;
    // Neither it nor a false start within a frame that is sure can get any surer.
    if (sure.some((other) => one.start + one.length > other.start && one.start < other.start + other.length)) {
      return undefined;
    }
    left--;
    const seen = soft.track();
    return seen && candidateOf(plan, soft, seen);
  });
}

/** The one whose check passes; of two the surer. */
function chosenOf(
  plan: FramePlan,
  plain: Judged,
  tracked: Judged | undefined,
): { candidate: Candidate; probability: number } | undefined {
  const trackedWins =
    tracked?.probability !== undefined && tracked.probability <= (plain.probability ?? Number.POSITIVE_INFINITY);
  const { candidate, probability } = trackedWins ? tracked : plain;
  if (probability === undefined) return undefined;
  const other = trackedWins ? plain : tracked;
  const alike = other?.candidate.reading.bits.every((bit, i) => bit === candidate.reading.bits[i]) ?? true;
  return { candidate, probability: alike ? probability : afterTwoLooks(probability, plan.guardBits) };
}

interface Judged {
  readonly candidate: Candidate;
  readonly probability: number | undefined;
}

function acceptedFrame(scene: Scene, soft: SoftFrame, { reading }: Candidate, probability: number): AcceptedFrame {
  const { base, burst, tuning } = scene;
  const { preamble, sync } = reading.plan.layout;
  const before = preamble.symbols.length * preamble.repeat + sync.symbols.length;
  const symbols = before + reading.likeliest.symbols.length;
  // A copy that the recording cut into began, for us, with the first sample.
  const start = Math.max(soft.start - before * soft.period, -burst.firstSample / base.decimation);
  return {
    reading,
    falseAcceptProbability: probability,
    atSeconds: secondsAt(scene, start),
    durationSeconds: (symbols * soft.period * base.decimation) / tuning.sampleRateHz,
    ...tonesOf(scene, soft, reading.likeliest.symbols),
    symbolRate: base.rateHz / soft.period,
  };
}

function sentOf(scene: Scene, soft: SoftFrame, { reading }: Candidate, frame: AcceptedFrame): Sent {
  const { preamble, sync } = reading.plan.layout;
  const before = toSymbols(preamble.symbols.repeat(preamble.repeat) + sync.symbols);
  const symbols = new Uint8Array(before.length + reading.likeliest.symbols.length);
  symbols.set(before);
  symbols.set(reading.likeliest.symbols, before.length);
  const { period } = soft;
  return {
    start: soft.start - before.length * period,
    period,
    symbols,
    carrierHz: frame.carrierHz - carrierAt(scene, 0),
    deviationHz: frame.deviationHz,
  };
}

/** What the detector used is as near as it needed; the symbols that were read tell it better. */
function tonesOf(scene: Scene, soft: SoftFrame, symbols: Uint8Array): Pick<AcceptedFrame, "carrierHz" | "deviationHz"> {
  const { carrierHz, deviationHz } = soft;
  if (deviationHz === undefined) return { carrierHz: carrierAt(scene, carrierHz), deviationHz };
  const { highHz, lowHz } = measureTones(
    scene.base,
    soft.start,
    soft.period,
    symbols,
    carrierHz + deviationHz,
    carrierHz - deviationHz,
  );
  return { carrierHz: carrierAt(scene, (highHz + lowHz) / 2), deviationHz: (highHz - lowHz) / 2 };
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
