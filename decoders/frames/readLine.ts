import type { Layout } from "../layouts/schema.ts";
import { mostSyncErrors } from "../signal/matched.ts";
import type { BurstLine } from "../sources.ts";
import {
  type AcceptedFrame,
  type Attempt,
  type BurstFigures,
  type BurstReading,
  bestAttempt,
  type Candidate,
  fittingPlans,
  isAccepted,
  judged,
  withoutOverlap,
} from "./burstReading.ts";
import type { FramePlan } from "./frameChecks.ts";
import { knownLog, readFrame } from "./readFrame.ts";

/** Sureness of a symbol whose receiver tells none: wrong with probability 1e-3. */
const PLAIN_EVIDENCE = Math.log(999);
const LEAST_CORRELATION = 0.6;
/** So like the known start that its likenesses to itself need not be tried. */
const SURE_CORRELATION = 0.85;
const MOST_FRAMES = 24;
/** A sync by itself, without any preamble before it, counts for this much of a whole known start. */
const SYNC_WORTH = 0.75;

/** Lets every layout that fits it try to read a burst that a receiver has already cut into symbols. */
export function readLine(line: BurstLine, originSeconds: number, plans: readonly FramePlan[]): BurstReading {
  const figures = figuresOf(line, originSeconds);
  const fitting = fittingPlans(plans, figures);
  const evidence = evidenceOf(line);
  const accepted: AcceptedFrame[] = [];
  const attempts: Attempt[] = [];
  for (const plan of fitting.keyedSo) {
    const { known } = plan;
    const { symbols: sync } = plan.layout.sync;
    const places = knownPlaces(evidence, known, sync.length);
    const candidates = worthReading(places, plan.layout, known.length).map((place): Candidate => {
      const following = evidence.subarray(place.end, place.end + plan.mostSymbols + 6);
      const syncLog = knownLog(evidence.subarray(place.end - sync.length, place.end), sync);
      const reading = readFrame(plan, padded(following, plan.mostSymbols), following.length, syncLog);
      return { ...place, reading, start: place.end, length: reading.likeliest.symbols.length, symbol: 1 };
    });
    judged(plan, candidates).forEach((probability, i) => {
      const { start, reading } = candidates[i]!;
      if (probability === undefined || !isAccepted(reading, probability)) return;
      accepted.push(acceptedFrame(line, figures, plan, start, reading, probability));
    });
    const miss = places[0];
    const attempt =
      bestAttempt(plan, candidates) ??
      (miss && { plan, correlation: miss.correlation, syncErrors: miss.syncErrors, reading: undefined });
    if (attempt) attempts.push(attempt);
  }
  return { figures, accepted: withoutOverlap(accepted), attempts, ...fitting };
}

function figuresOf(line: BurstLine, originSeconds: number): BurstFigures {
  const known = line.rssiDbm !== undefined && line.noiseDbm !== undefined;
  return {
    atSeconds: line.atSeconds - originSeconds,
    durationSeconds: line.symbols.length / line.symbolRate,
    carrierHz: line.carrierHz + (line.offsetHz ?? 0),
    carrierKnown: true,
    modulation: line.modulation,
    deviationHz: undefined,
    symbolRate: line.symbolRate,
    symbolRateSigma: undefined,
    jitter: undefined,
    snrDb: known ? line.rssiDbm - line.noiseDbm : undefined,
    levelDbfs: undefined,
    clippedShare: undefined,
    cutByStart: false,
    cutByEnd: false,
    symbols: line.symbols,
    overlapFromSeconds: undefined,
  };
}

function evidenceOf(line: BurstLine): Float64Array {
  const { symbols, confidence } = line;
  const evidence = new Float64Array(symbols.length);
  for (let i = 0; i < evidence.length; i++) {
    const sure = confidence ? confidence[i]! / 16 : PLAIN_EVIDENCE;
    evidence[i] = symbols[i] === 1 ? sure : -sure;
  }
  return evidence;
}

interface Place {
  /** Index after the last known symbol. */
  readonly end: number;
  readonly correlation: number;
  readonly syncErrors: number;
}

/** Every place where the known start could end, best first; the preamble's beginning may be missing. */
function knownPlaces(evidence: Float64Array, known: Int8Array, syncLength: number): Place[] {
  const places: Place[] = [];
  let miss: Place | undefined;
  for (let end = syncLength; end <= evidence.length; end++) {
    let sum = 0;
    let square = 0;
    let errors = 0;
    const count = Math.min(known.length, end);
    let j = 1;
    for (; j <= syncLength; j++) {
      const e = evidence[end - j]!;
      const agreeing = e * known[known.length - j]!;
      sum += agreeing;
      square += e * e;
      if (!(agreeing > 0)) errors++;
    }
    const ofSync = SYNC_WORTH * likeness(sum, square, syncLength);
    for (; j <= count; j++) {
      const e = evidence[end - j]!;
      sum += e * known[known.length - j]!;
      square += e * e;
    }
    const correlation = Math.max(ofSync, likeness(sum, square, count));
    if (correlation >= LEAST_CORRELATION) places.push({ end, correlation, syncErrors: errors });
    // The best miss is kept for the ladder.
    else if (!miss || correlation > miss.correlation) miss = { end, correlation, syncErrors: errors };
  }
  // Of the hits, no more than a burst can hold.
  if (places.length > 0) return places.sort((a, b) => b.correlation - a.correlation).slice(0, MOST_FRAMES);
  return miss ? [miss] : [];
}

/** Beside a clear start neither a place without the sync is worth reading, nor one that is its likeness to itself. */
function worthReading(places: readonly Place[], layout: Layout, knownLength: number): readonly Place[] {
  const hits = places.filter((place) => place.correlation >= LEAST_CORRELATION);
  const clear = hits.filter((place) => place.correlation >= SURE_CORRELATION && place.syncErrors === 0);
  if (clear.length === 0) return hits;
  return hits.filter(({ end, syncErrors }) => {
    if (syncErrors === 0) return true;
    return syncErrors <= mostSyncErrors(layout) && clear.every((one) => Math.abs(one.end - end) >= knownLength);
  });
}

function likeness(sum: number, square: number, count: number): number {
  return square > 0 ? sum / Math.sqrt(count * square) : 0;
}

function padded(evidence: Float64Array, length: number): Float64Array {
  if (evidence.length >= length) return evidence;
  const out = new Float64Array(length);
  out.set(evidence);
  return out;
}

function acceptedFrame(
  line: BurstLine,
  figures: BurstFigures,
  plan: FramePlan,
  start: number,
  reading: ReturnType<typeof readFrame>,
  probability: number,
): AcceptedFrame {
  const { layout } = plan;
  const before = layout.preamble.symbols.length * layout.preamble.repeat + layout.sync.symbols.length;
  const first = Math.max(0, start - before);
  return {
    reading,
    falseAcceptProbability: probability,
    atSeconds: figures.atSeconds + first / line.symbolRate,
    durationSeconds: (start - first + reading.likeliest.symbols.length) / line.symbolRate,
    carrierHz: figures.carrierHz,
    deviationHz: undefined,
    symbolRate: line.symbolRate,
  };
}
