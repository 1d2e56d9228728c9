import type { Layout } from "../layouts/schema.ts";
import { type BurstSignal, type Detector, detectors, lean, leans } from "./detector.ts";
import { measureDrift, straightened } from "./drift.ts";
import { type Keying, measureKeying } from "./keying.ts";
import { measuredOff, type Peak, RATE_TOLERANCE, refine, type SoftFrame } from "./refine.ts";

export interface FrameSearch {
  /** Descending by correlation, apart from each other by at least a few symbols. */
  readonly frames: readonly SoftFrame[];
  /** The best likeness found anywhere, found good enough or not. */
  readonly bestCorrelation: number;
  /** Symbols of the sync that differ at that place. */
  readonly bestSyncErrors: number;
}

const STEPS_A_SYMBOL = 8;
const MOST_PREAMBLE_SYMBOLS = 32;
const LEAST_CORRELATION = 0.6;
/** Where a start may be told from its repeats, one that is less like it is worth reading. */
const LEAST_REPEATED = 0.42;
const MOST_FAINT = 8;
/** So like the known start that no other pair of frequencies needs to be tried. */
const SURE_CORRELATION = 0.85;
const MOST_FRAMES = 24;
/** Of the symbol rate, over the burst. */
const LEAST_DRIFT = 0.2;

/**
 * Looks for a layout's known start in a burst with filters matched to its symbols, then takes the symbols after it.
 *
 * @param frameSymbols Most symbols a frame of this layout can have.
 */
export function findFrames(signal: BurstSignal, layout: Layout, frameSymbols: number): FrameSearch {
  const nominal = signal.base.rateHz / layout.symbolRate;
  const known = knownSymbols(layout);
  const offs = clockRange(signal.keying, layout.symbolRate);
  const least = hasCopies(layout) ? LEAST_REPEATED : LEAST_CORRELATION;
  let search: FrameSearch = { frames: [], bestCorrelation: 0, bestSyncErrors: layout.sync.symbols.length };
  const lookIn = (seen: BurstSignal) => {
    for (const detector of detectors(seen, layout)) {
      const coarse = coarseSearch(detector, nominal, known, seen, offs, least);
      if (!coarse.best || coarse.best.correlation <= search.bestCorrelation) continue;
      const peaks = worthRefining(detector, coarse.peaks, known, layout);
      search = {
        frames: peaks.map((peak) => refine(detector, peak, known, frameSymbols, seen, layout)),
        bestCorrelation: coarse.best.correlation,
        bestSyncErrors: syncErrors(detector, coarse.best, known, layout),
      };
      if (search.bestCorrelation >= SURE_CORRELATION) break;
    }
  };
  lookIn(signal);
  if (search.bestCorrelation < SURE_CORRELATION) {
    const steady = withoutDrift(signal, layout.symbolRate);
    if (steady) lookIn(steady);
  }
  return search;
}

/** The burst with its drift taken off and measured anew; `undefined` where it drifts so little that filters do not care. */
function withoutDrift(signal: BurstSignal, symbolRate: number): BurstSignal | undefined {
  const driftHz = measureDrift(signal.base, signal, 0.5 * symbolRate);
  if (Math.abs(driftHz) < LEAST_DRIFT * symbolRate) return undefined;
  const base = straightened(signal.base, signal, driftHz);
  const { lowHz, highHz } = signal.keying;
  const { from, to, noiseDensity, ffts } = signal;
  const place = { base, stretch: { from, to }, lowHz, highHz, noiseDensity, ffts };
  return { ...signal, base, keying: measureKeying(place) };
}

/** Whether a layout's telegrams are sent more than once. */
export function hasCopies({ repeats }: Layout): boolean {
  return (repeats?.count ?? 1) > 1;
}

/** More of a sync's symbols off than this, and it is none. */
export function mostSyncErrors(layout: Layout): number {
  return Math.floor(layout.sync.symbols.length / 5);
}

/**
 * The peaks that are worth a closer look. Beside a clear start that is none without its sync, nor one so near that it
 * can only be the known start's likeness to itself.
 */
function worthRefining(detector: Detector, peaks: readonly Peak[], known: Int8Array, layout: Layout): readonly Peak[] {
  const errors = peaks.map((peak) => syncErrors(detector, peak, known, layout));
  const clear = peaks.filter((peak, i) => peak.correlation >= SURE_CORRELATION && errors[i] === 0);
  if (clear.length === 0) return peaks;
  const isLikeness = (peak: Peak) =>
    clear.some((one) => one !== peak && Math.abs(one.at - peak.at) < known.length * one.period);
  return peaks.filter((peak, i) => errors[i]! <= mostSyncErrors(layout) && (errors[i] === 0 || !isLikeness(peak)));
}

/** The end of the preamble and the sync, which every receiver should have heard. */
export function knownSymbols(layout: Layout): Int8Array {
  const preamble = layout.preamble.symbols.repeat(layout.preamble.repeat).slice(-MOST_PREAMBLE_SYMBOLS);
  return Int8Array.from(preamble + layout.sync.symbols, (c) => (c === "1" ? 1 : -1));
}

/** Clock errors to try. */
function clockRange(keying: Keying, symbolRate: number): number[] {
  const off = measuredOff(keying, symbolRate);
  if (off !== undefined) return [off];
  const range: number[] = [];
  for (let off = -RATE_TOLERANCE; off <= RATE_TOLERANCE + 1e-9; off += 0.01) range.push(off);
  return range;
}

function coarseSearch(
  detector: Detector,
  nominal: number,
  known: Int8Array,
  signal: BurstSignal,
  offs: readonly number[],
  least: number,
): { peaks: Peak[]; best: Peak | undefined } {
  const step = nominal / STEPS_A_SYMBOL;
  const origin = Math.max(0, signal.from - nominal * (known.length + 4));
  const lastStart = Math.max(0, Math.ceil((signal.to - origin) / step));
  // No further than a known start at the burst's end would reach.
  const reach = lastStart + Math.ceil(1.05 * known.length * STEPS_A_SYMBOL);
  const points = Math.max(0, Math.min(reach, Math.floor((signal.base.re.length - origin) / step)));
  const leant = new Float64Array(points);
  leans(detector, origin, step, STEPS_A_SYMBOL, leant);
  const squares = new Float64Array(points);
  for (let g = 0; g < points; g++) squares[g] = leant[g]! * leant[g]!;
  const score = new Float64Array(lastStart);
  const which = new Uint8Array(lastStart);
  const sums = new Float64Array(lastStart);
  const powers = new Float64Array(lastStart);
  let before: Int32Array | undefined;
  offs.forEach((off, o) => {
    const strides = Int32Array.from(known, (_, j) => Math.round((j * STEPS_A_SYMBOL) / (1 + off)));
    // The clocks of two errors may meet the same places.
    if (before && strides.every((stride, j) => stride === before![j])) return;
    before = strides;
    const span = strides[known.length - 1]!;
    const count = Math.min(lastStart, points - span);
    correlate(known, strides, leant, squares, count, sums, powers);
    for (let g = 0; g < count; g++) {
      const value = powers[g]! > 0 ? sums[g]! / Math.sqrt(known.length * powers[g]!) : 0;
      if (value > score[g]!) {
        score[g] = value;
        which[g] = o;
      }
    }
  });
  const toPeak = (g: number): Peak => ({
    correlation: score[g]!,
    at: origin + g * step,
    period: nominal / (1 + offs[which[g]!]!),
  });
  const peaks = separatePeaks(score, 3 * STEPS_A_SYMBOL).map(toPeak);
  const best = peaks[0];
  const worth = peaks.filter(({ correlation }, i) => correlation >= (i < MOST_FAINT ? least : LEAST_CORRELATION));
  return { peaks: worth.slice(0, MOST_FRAMES), best };
}

/** Sums of what leans as it is known to, and of the squares, for a known start at each of the first `count` places. */
function correlate(
  known: Int8Array,
  strides: Int32Array,
  leant: Float64Array,
  squares: Float64Array,
  count: number,
  sums: Float64Array,
  powers: Float64Array,
): void {
  // Four known symbols in one pass: each pass has to load and store the sums.
  for (let j = 0; j < known.length; j += 4) {
    const a = strides[j]!;
    const b = strides[Math.min(j + 1, known.length - 1)]!;
    const c = strides[Math.min(j + 2, known.length - 1)]!;
    const d = strides[Math.min(j + 3, known.length - 1)]!;
    const weighB = j + 1 < known.length ? 1 : 0;
    const weighC = j + 2 < known.length ? 1 : 0;
    const weighD = j + 3 < known.length ? 1 : 0;
    const signA = known[j]!;
    const signB = weighB * (known[j + 1] ?? 0);
    const signC = weighC * (known[j + 2] ?? 0);
    const signD = weighD * (known[j + 3] ?? 0);
    for (let g = 0; g < count; g++) {
      const sum = signA * leant[g + a]! + signB * leant[g + b]! + signC * leant[g + c]! + signD * leant[g + d]!;
      const power = squares[g + a]! + weighB * squares[g + b]! + weighC * squares[g + c]! + weighD * squares[g + d]!;
      sums[g] = j === 0 ? sum : sums[g]! + sum;
      powers[g] = j === 0 ? power : powers[g]! + power;
    }
  }
}

/** Indices of the maxima, highest first, none within `apart` of a higher one. */
function separatePeaks(score: Float64Array, apart: number): number[] {
  const maxima: number[] = [];
  for (let g = 0; g < score.length; g++) {
    const v = score[g]!;
    if (v > 0.3 && v >= (score[g - 1] ?? 0) && v > (score[g + 1] ?? 0)) maxima.push(g);
  }
  maxima.sort((a, b) => score[b]! - score[a]!);
  const kept: number[] = [];
  for (const g of maxima) {
    if (kept.length >= 2 * MOST_FRAMES) break;
    if (kept.every((other) => Math.abs(other - g) > apart)) kept.push(g);
  }
  return kept;
}

function syncErrors(detector: Detector, peak: Peak, known: Int8Array, layout: Layout): number {
  let errors = 0;
  for (let j = known.length - layout.sync.symbols.length; j < known.length; j++) {
    if (lean(detector, peak.at + j * peak.period) > 0 !== known[j]! > 0) errors++;
  }
  return errors;
}
