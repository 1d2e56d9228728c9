import type { Layout } from "../layouts/schema.ts";
import { type BurstSignal, type Detector, leanSymbols } from "./detector.ts";
import type { Keying } from "./keying.ts";
import { trackedEvidence } from "./phaseTracking.ts";
import { symbolEvidence } from "./symbolEvidence.ts";
import { energyBetween } from "./tones.ts";

/** A clock may be off by this share of the layout's rate. */
export const RATE_TOLERANCE = 0.03;

/** A place in a burst where a layout's known start was found, and the symbols that follow it. */
export interface SoftFrame {
  /** Element of the baseband at which the frame's first symbol starts; may lie between elements. */
  readonly start: number;
  /** Elements a symbol. */
  readonly period: number;
  /** Likeness of what stands there to the known start, −1 to 1. */
  readonly correlation: number;
  /** Known symbols before the frame, and how many of those of the sync were received otherwise. */
  readonly syncErrors: number;
  /** ln(P(1)/P(0)) of each symbol of the sync. */
  readonly syncEvidence: Float64Array;
  /** ln(P(1)/P(0)) of each symbol of the frame, and of as many after it as a longer frame might need. */
  readonly evidence: Float64Array;
  /** How many of them lie inside the burst; the rest is what came after it. */
  readonly inside: number;
  readonly carrierHz: number;
  readonly deviationHz: number | undefined;
  /** The same evidence with the carrier's phase tracked; `undefined` where the code does not allow it. Slow: ask once. */
  readonly track: () => Tracked | undefined;
}

/** Evidence of a phase-tracking detector, as in `SoftFrame`. */
export type Tracked = Pick<SoftFrame, "syncEvidence" | "evidence" | "syncErrors">;

/** Symbols before the frame at which opposite pairs begin: a bit's own, or those on both sides of a change between bits. */
const PAIRS_BEFORE: Readonly<Partial<Record<Layout["lineCode"], number>>> = {
  "manchester-ieee": 0,
  "manchester-thomas": 0,
  "differential-manchester": 0,
  "biphase-mark": 1,
  "biphase-space": 1,
};

/** Where the known start seems to be. */
export interface Peak {
  readonly correlation: number;
  /** Element at which the first known symbol starts. */
  readonly at: number;
  readonly period: number;
}

/** Start and clock that fit the known start and lean furthest over the whole frame; then the frame's evidence. */
export function refine(
  detector: Detector,
  peak: Peak,
  known: Int8Array,
  frameSymbols: number,
  signal: BurstSignal,
  layout: Layout,
): SoftFrame {
  const inBurst = Math.max(0, Math.min(frameSymbols, Math.floor((signal.to - peak.at) / peak.period) - known.length));
  const before = PAIRS_BEFORE[layout.lineCode];
  const best = fitClock(detector, peak, known, before, inBurst, clockReach(signal.keying, layout.symbolRate));
  const start = best.start + known.length * best.period;
  // A few symbols more than the frame: where words differ in length, what follows tells where it ended.
  const count = frameSymbols + 6;
  const total = known.length + count;
  const inside = Math.max(0, Math.min(frameSymbols, Math.round((signal.to - start) / best.period)));
  const noise = signal.noiseDensity * signal.base.rateHz * best.period;
  const weighed = evidenceFrom(
    detector,
    { at: best.start, period: best.period, count: total, known },
    known.length + inside,
    noise,
  );
  const parted = (weights: Float64Array): Tracked => {
    const syncLength = layout.sync.symbols.length;
    const syncEvidence = weights.slice(known.length - syncLength, known.length);
    const sent = known.subarray(known.length - syncLength);
    const syncErrors = syncEvidence.reduce((sum, value, j) => sum + (value > 0 === sent[j]! > 0 ? 0 : 1), 0);
    const evidence = weights.slice(known.length);
    // Past the data there is no evidence either way.
    for (let j = 0; j < count; j++) if (start + (j + 1) * best.period > signal.base.re.length) evidence[j] = 0;
    return { syncEvidence, evidence, syncErrors };
  };
  return {
    start,
    period: best.period,
    correlation: peak.correlation,
    ...parted(weighed),
    inside,
    track: () => {
      const tracked = trackedEvidence(detector, {
        at: best.start,
        period: best.period,
        rateHz: signal.base.rateHz,
        known,
        count,
        inside,
        noise,
        pairsFrom: before === undefined ? undefined : known.length - before,
      });
      return tracked && parted(tracked);
    },
    carrierHz: detector.low ? (detector.high.hz + detector.low.hz) / 2 : detector.high.hz,
    deviationHz: detector.low ? (detector.high.hz - detector.low.hz) / 2 : undefined,
  };
}

/** A row of symbols in a baseband, of which the first are known. */
export interface SymbolRow {
  /** Element at which the first one starts; may lie between elements. */
  readonly at: number;
  readonly period: number;
  readonly count: number;
  /** +1 or −1 each. */
  readonly known: Int8Array;
}

/**
 * ln(P(1)/P(0)) of each symbol of a row, from its energy alone.
 *
 * @param inside How many of them lie inside the burst.
 * @param noise Energy of noise alone in a symbol.
 */
export function evidenceFrom(
  { high, low }: Pick<Detector, "high" | "low">,
  { at, period, count, known }: SymbolRow,
  inside: number,
  noise: number,
): Float64Array {
  const highs = new Float64Array(count);
  const lows = new Float64Array(count);
  for (let j = 0; j < count; j++) {
    const from = at + j * period;
    highs[j] = energyBetween(high, from, from + period);
    if (low) lows[j] = energyBetween(low, from, from + period);
  }
  return symbolEvidence(highs, low ? lows : undefined, inside, noise, known);
}

/** Symbols of the frame by which the clock is fitted first; then four times as many, until all are in. */
const FIRST_HORIZON = 160;
/** The last symbol may slip by this share of a symbol between two clocks that are tried. */
const SLIP = 0.15;

/**
 * The start and clock at which the known symbols fit and the frame's symbols lean furthest to either side.
 *
 * @param pairsBefore Symbols before the frame at which opposite pairs begin; `undefined`: there are none.
 * @param inBurst Symbols of the frame that lie in the burst.
 * @param reach How far the clock may be off, as a share.
 */
function fitClock(
  detector: Detector,
  peak: Peak,
  known: Int8Array,
  pairsBefore: number | undefined,
  inBurst: number,
  reach: number,
): { start: number; period: number } {
  // The clock turns about the known start's middle, which the search has placed already.
  let pivot = known.length / 2;
  let best = { start: peak.at, period: peak.period, value: Number.NEGATIVE_INFINITY };
  let horizon = 0;
  const leant = new Float64Array(known.length + inBurst);
  const consider = (centre: number, period: number) => {
    const start = centre - pivot * period;
    const seen = leant.subarray(0, known.length + horizon);
    leanSymbols(detector, start, period, seen);
    let value = 0;
    for (let j = 0; j < known.length; j++) value += known[j]! * seen[j]!;
    if (pairsBefore === undefined) {
      for (let j = known.length; j < seen.length; j++) value += Math.abs(seen[j]!);
    } else {
      // Of a pair both say the same, and the edge between them says when.
      for (let j = known.length - pairsBefore; j + 1 < seen.length; j += 2) value += Math.abs(seen[j]! - seen[j + 1]!);
    }
    if (value > best.value) best = { start, period, value };
  };
  let range = reach;
  let step = SLIP / pivot;
  for (horizon = Math.min(inBurst, FIRST_HORIZON); ; horizon = Math.min(inBurst, 4 * horizon)) {
    best.value = Number.NEGATIVE_INFINITY;
    step = SLIP / (horizon + pivot);
    const { period } = best;
    const centre = best.start + pivot * period;
    const steps = Math.ceil(range / step);
    for (let k = -steps; k <= steps; k++) consider(centre, period * (1 + k * step));
    if (horizon === inBurst) break;
    range = 2 * step;
  }
  // From here on about the middle of all, where start and clock do not pull at each other.
  pivot = (known.length + horizon) / 2;
  for (const [fractions, turns, fineness] of [
    [[-0.3, -0.2, -0.1, -0.05, 0.05, 0.1, 0.2, 0.3], 3, 3],
    [[-0.05, -0.025, 0.025, 0.05], 3, 3],
    [[-0.0125, 0.0125], 2, 10],
  ] as const) {
    const { start, period } = best;
    for (const fraction of fractions) consider(start + pivot * period + fraction * period, period);
    const turned = best;
    for (let k = -turns; k <= turns; k++) {
      if (k !== 0) consider(turned.start + pivot * turned.period, turned.period * (1 + (k * step) / fineness));
    }
  }
  return best;
}

/** The clock's error where it was measured well, as a share of the layout's rate. */
export function measuredOff(keying: Keying, symbolRate: number): number | undefined {
  const measured = keying.symbols;
  if (!measured || measured.jitter >= 0.12 || measured.edges < 24) return undefined;
  const off = measured.rateHz / symbolRate - 1;
  return Math.abs(off) <= RATE_TOLERANCE + 0.005 ? off : undefined;
}

/** How far the clock may be mistaken: by the known start alone, or as it was measured. */
function clockReach(keying: Keying, symbolRate: number): number {
  if (!keying.symbols || measuredOff(keying, symbolRate) === undefined) return 0.015;
  return Math.min(0.003, Math.max(0.0005, (5 * keying.symbols.rateSigmaHz) / symbolRate));
}
