import { toSymbols } from "../linecode/lineCode.ts";
import type { BurstSignal } from "../signal/detector.ts";
import type { Keying } from "../signal/keying.ts";
import { findFrames, hasCopies } from "../signal/matched.ts";
import { measureTones } from "../signal/measureTones.ts";
import type { SoftFrame, Tracked } from "../signal/refine.ts";
import type { Sent } from "../signal/subtract.ts";
import type { Stretch } from "../signal/trim.ts";
import {
  type AcceptedFrame,
  type Attempt,
  bestAttempt,
  type Candidate,
  type FramePlace,
  fittingPlans,
  isAccepted,
  isStart,
  judged,
} from "./burstReading.ts";
import type { SoftCopy } from "./combine.ts";
import type { FramePlan } from "./frameChecks.ts";
import { afterLooks, leastProbability } from "./odds.ts";
import { type FrameReading, knownLog, readFrame } from "./readFrame.ts";
import { ALL_OF_IT, carrierAt, isExplained, type Scene, secondsAt } from "./scene.ts";

/** Surer than this nothing is gained by a second look; and no more places of a stretch than this get one. */
const SURE = 1e-6;
const MOST_TRACKED = 4;
/** Frames of a stretch that are kept for being added to others. */
const MOST_COPIES_A_STRETCH = 8;
/** And of these only what lies mostly inside the burst. */
const MOSTLY_INSIDE = 0.6;

export function readStretch(
  scene: Scene,
  stretch: Stretch,
  keying: Keying,
  plans: readonly FramePlan[],
): { accepted: AcceptedFrame[]; attempts: Attempt[]; copies: SoftCopy[] } {
  const accepted: AcceptedFrame[] = [];
  const attempts: Attempt[] = [];
  const copies: SoftCopy[] = [];
  if (keying.modulation === undefined && !scene.burst.faint) return { accepted, attempts, copies };
  const { base, burst, ffts } = scene;
  const signal: BurstSignal = { base, keying, ...stretch, noiseDensity: burst.noiseDensity, ffts };
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
      const { reading } = chosen.candidate;
      const frame = { reading, falseAcceptProbability: chosen.probability, ...framePlace(scene, soft, reading) };
      scene.sent.set(frame, sentOf(scene, soft, chosen.candidate, frame));
      accepted.push(frame);
    });
    copies.push(...copiesLeft(scene, plan, softs, candidates, tracked, accepted));
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
  return { accepted, attempts, copies };
}

/** Frames that were not read, as soft values, where the layout has repeats with which they may be. */
function copiesLeft(
  scene: Scene,
  plan: FramePlan,
  softs: readonly SoftFrame[],
  plain: readonly Candidate[],
  tracked: readonly (Seen | undefined)[],
  accepted: readonly AcceptedFrame[],
): SoftCopy[] {
  if (!hasCopies(plan.layout)) return [];
  const taken = accepted.map((frame) => ({ from: frame.atSeconds, to: frame.atSeconds + frame.durationSeconds }));
  const copies: SoftCopy[] = [];
  const order = softs
    .map((_, i) => i)
    .sort((a, b) => plain[b]!.reading.logLikelihood - plain[a]!.reading.logLikelihood);
  for (const i of order) {
    if (copies.length === MOST_COPIES_A_STRETCH) break;
    const soft = softs[i]!;
    if (soft.inside < MOSTLY_INSIDE * plan.fewestSymbols) continue;
    const at = framePlace(scene, soft, plain[i]!.reading);
    const to = at.atSeconds + at.durationSeconds;
    // Of several starts for one frame the others will tell which it was.
    if (taken.some((other) => Math.min(to, other.to) - Math.max(at.atSeconds, other.from) > 0.2 * at.durationSeconds)) {
      continue;
    }
    const { evidence, syncEvidence } = tracked[i]?.seen ?? soft.track() ?? soft;
    copies.push({ plan, ...at, evidence, syncEvidence, inside: soft.inside });
  }
  return copies;
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

/** A candidate, and what its symbols were seen as. */
interface Seen extends Candidate {
  readonly seen: Tracked;
}

function candidateOf(plan: FramePlan, soft: SoftFrame, seen: Tracked): Seen {
  const syncLog = knownLog(seen.syncEvidence, plan.layout.sync.symbols);
  const reading = readFrame(plan, seen.evidence, soft.inside, syncLog);
  const length = reading.likeliest.symbols.length * soft.period;
  return { ...soft, syncErrors: seen.syncErrors, reading, length, symbol: soft.period, seen };
}

/** Read with the phase tracked, where the plain detector is not sure already and something like a start is there. */
function trackedCandidates(
  plan: FramePlan,
  softs: readonly SoftFrame[],
  candidates: readonly Candidate[],
  plain: readonly (number | undefined)[],
): (Seen | undefined)[] {
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
  return { candidate, probability: alike ? probability : afterLooks(probability, plan.guardBits, 2) };
}

interface Judged {
  readonly candidate: Candidate;
  readonly probability: number | undefined;
}

function framePlace(scene: Scene, soft: SoftFrame, reading: FrameReading): FramePlace {
  const { base, burst, tuning } = scene;
  const { preamble, sync } = reading.plan.layout;
  const before = preamble.symbols.length * preamble.repeat + sync.symbols.length;
  const symbols = before + reading.likeliest.symbols.length;
  // A copy that the recording cut into began, for us, with the first sample.
  const start = Math.max(soft.start - before * soft.period, -burst.firstSample / base.decimation);
  return {
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
