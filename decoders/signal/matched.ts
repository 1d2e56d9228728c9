import type { Layout } from "../layouts/schema.ts";
import type { Baseband } from "./baseband.ts";
import type { Keying } from "./keying.ts";
import { twoLevels } from "./keying.ts";
import { symbolEvidence } from "./symbolEvidence.ts";
import { energyBetween, type Tone, toneSums } from "./tones.ts";

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
  /** Signal over noise of one symbol's matched energy, as a ratio. */
  readonly symbolSnr: number;
}

export interface BurstSignal {
  readonly base: Baseband;
  readonly keying: Keying;
  /** Elements of the baseband between which the burst lies. */
  readonly from: number;
  readonly to: number;
  readonly noiseDensity: number;
}

export interface FrameSearch {
  /** Descending by correlation, apart from each other by at least a few symbols. */
  readonly frames: readonly SoftFrame[];
  /** The best likeness found anywhere, found good enough or not. */
  readonly bestCorrelation: number;
  /** Symbols of the sync that differ at that place. */
  readonly bestSyncErrors: number;
}

/** A clock may be off by this share of the layout's rate. */
const RATE_TOLERANCE = 0.03;
const STEPS_A_SYMBOL = 8;
const MOST_PREAMBLE_SYMBOLS = 24;
const LEAST_CORRELATION = 0.6;
/** So like the known start that no other pair of frequencies needs to be tried. */
const SURE_CORRELATION = 0.85;
const MOST_FRAMES = 24;

/**
 * Looks for a layout's known start in a burst with filters matched to its symbols, then takes the symbols after it.
 *
 * @param frameSymbols Most symbols a frame of this layout can have.
 */
export function findFrames(signal: BurstSignal, layout: Layout, frameSymbols: number): FrameSearch {
  const nominal = signal.base.rateHz / layout.symbolRate;
  const known = knownSymbols(layout);
  const offs = clockRange(signal.keying, layout.symbolRate);
  let search: FrameSearch = { frames: [], bestCorrelation: 0, bestSyncErrors: layout.sync.symbols.length };
  for (const detector of detectors(signal, layout)) {
    const coarse = coarseSearch(detector, nominal, known, signal, offs);
    if (!coarse.best || coarse.best.correlation <= search.bestCorrelation) continue;
    search = {
      frames: coarse.peaks.map((peak) => refine(detector, peak, known, frameSymbols, signal, layout)),
      bestCorrelation: coarse.best.correlation,
      bestSyncErrors: syncErrors(detector, coarse.best, layout),
    };
    if (search.bestCorrelation >= SURE_CORRELATION) break;
  }
  return search;
}

/** The end of the preamble and the sync, which every receiver should have heard. */
export function knownSymbols(layout: Layout): Int8Array {
  const preamble = layout.preamble.symbols.repeat(layout.preamble.repeat).slice(-MOST_PREAMBLE_SYMBOLS);
  return Int8Array.from(preamble + layout.sync.symbols, (c) => (c === "1" ? 1 : -1));
}

/** The two filters of a keying; for ASK there is one, and a threshold. */
interface Detector {
  readonly high: Tone;
  /** FSK only. */
  readonly low: Tone | undefined;
  /** ASK only: between the root energies of off and on, for a symbol of `period`. */
  readonly threshold: number;
  readonly period: number;
}

/** Above 0: more like a 1. A root of energy, so that one strong symbol does not outvote many. */
function lean(detector: Detector, at: number): number {
  const high = Math.sqrt(energyBetween(detector.high, at, at + detector.period));
  return detector.low
    ? high - Math.sqrt(energyBetween(detector.low, at, at + detector.period))
    : high - detector.threshold;
}

/** Detectors to try, the likeliest first. */
function* detectors(signal: BurstSignal, layout: Layout): Generator<Detector, void, undefined> {
  const { base, keying } = signal;
  const period = base.rateHz / layout.symbolRate;
  if (layout.modulation === "ask" || layout.deviationHz === undefined) {
    const high = toneSums(base, keying.centreHz);
    yield { high, low: undefined, threshold: onOffThreshold(high, signal, period), period };
    return;
  }
  for (const { centreHz, deviationHz } of twoTones(keying, layout.deviationHz, layout.symbolRate)) {
    const high = toneSums(base, centreHz + deviationHz);
    const low = toneSums(base, centreHz - deviationHz);
    yield { high, low, threshold: 0, period };
  }
}

/** Between the root energies of off and on. */
function onOffThreshold(tone: Tone, signal: BurstSignal, period: number): number {
  const steps = Math.max(2, Math.floor((2 * (signal.to - signal.from)) / period));
  const roots = new Float64Array(steps);
  for (let i = 0; i < steps; i++) {
    const at = signal.from + (i * period) / 2;
    roots[i] = Math.sqrt(energyBetween(tone, at, at + period));
  }
  return twoLevels(roots).middle;
}

interface TonePair {
  readonly centreHz: number;
  readonly deviationHz: number;
}

/** Pairs of frequencies tried at most: a strong neighbour may outshine the right one, but seldom twice. */
const MOST_PAIRS = 3;

/** Centres and deviations at which both matched filters get most: the spectrum, seen through a symbol's own width. */
function twoTones(keying: Keying, nominalHz: number, symbolRate: number): TonePair[] {
  const { spectrum, binHz } = keying;
  const size = spectrum.length;
  const sums = new Float64Array(size + 1);
  for (let k = 0; k < size; k++) sums[k + 1] = sums[k]! + spectrum[k]!;
  const half = Math.max(1, Math.round((0.4 * symbolRate) / binHz));
  const through = (hz: number) => {
    const k = Math.round(hz / binHz) + size / 2;
    const from = Math.max(0, k - half);
    const to = Math.min(size, k + half + 1);
    return to > from ? Math.max(0, sums[to]! - sums[from]!) : 0;
  };
  const middle = (keying.lowHz + keying.highHz) / 2;
  const reach = Math.max(symbolRate, (keying.highHz - keying.lowHz) / 2);
  const step = Math.max(binHz, symbolRate / 24);
  const found: (TonePair & { value: number })[] = [];
  for (let centreHz = middle - reach; centreHz <= middle + reach; centreHz += step) {
    let best = { centreHz, deviationHz: nominalHz, value: 0 };
    for (const factor of [1, 0.95, 1.05, 0.9, 1.1, 0.85, 1.15, 0.8, 1.2]) {
      const low = through(centreHz - factor * nominalHz);
      const high = through(centreHz + factor * nominalHz);
      // The smaller of the two counts double: one strong line alone is not FSK.
      const value = Math.min(low, high) * Math.sqrt(Math.max(low, high));
      // The layout's own deviation is left only where another one gets clearly more.
      if (value > best.value * (factor === 1 ? 1 : 1.1)) best = { centreHz, deviationHz: factor * nominalHz, value };
    }
    found.push(best);
  }
  found.sort((a, b) => b.value - a.value);
  const pairs: TonePair[] = [];
  for (const pair of found) {
    if (pairs.length >= MOST_PAIRS) break;
    if (pairs.every((other) => Math.abs(other.centreHz - pair.centreHz) > 0.6 * symbolRate)) pairs.push(pair);
  }
  return pairs;
}

/** The clock's error where it was measured well, as a share of the layout's rate. */
function measuredOff(keying: Keying, symbolRate: number): number | undefined {
  const measured = keying.symbols;
  if (!measured || measured.jitter >= 0.12 || measured.edges < 24) return undefined;
  const off = measured.rateHz / symbolRate - 1;
  return Math.abs(off) <= RATE_TOLERANCE + 0.005 ? off : undefined;
}

/** How far the known start alone may have mistaken the clock. */
function clockReach(keying: Keying, symbolRate: number): number {
  return measuredOff(keying, symbolRate) === undefined ? 0.015 : 0.003;
}

/** Clock errors to try. */
function clockRange(keying: Keying, symbolRate: number): number[] {
  const off = measuredOff(keying, symbolRate);
  if (off !== undefined) return [off - 0.002, off, off + 0.002];
  const range: number[] = [];
  for (let off = -RATE_TOLERANCE; off <= RATE_TOLERANCE + 1e-9; off += 0.005) range.push(off);
  return range;
}

interface Peak {
  readonly correlation: number;
  /** Element at which the first known symbol starts. */
  readonly at: number;
  readonly period: number;
}

function coarseSearch(
  detector: Detector,
  nominal: number,
  known: Int8Array,
  signal: BurstSignal,
  offs: readonly number[],
): { peaks: Peak[]; best: Peak | undefined } {
  const step = nominal / STEPS_A_SYMBOL;
  const origin = Math.max(0, signal.from - nominal * (known.length + 4));
  const points = Math.max(0, Math.floor((signal.base.re.length - origin) / step));
  const leans = new Float64Array(points);
  const squares = new Float64Array(points);
  for (let g = 0; g < points; g++) {
    const v = lean(detector, origin + g * step);
    leans[g] = v;
    squares[g] = v * v;
  }
  const lastStart = Math.min(points, Math.ceil((signal.to - origin) / step));
  const score = new Float64Array(lastStart);
  const which = new Uint8Array(lastStart);
  offs.forEach((off, o) => {
    const strides = Int32Array.from(known, (_, j) => Math.round((j * STEPS_A_SYMBOL) / (1 + off)));
    const span = strides[known.length - 1]!;
    for (let g = 0; g < lastStart && g + span < points; g++) {
      let sum = 0;
      let square = 0;
      for (let j = 0; j < known.length; j++) {
        const at = g + strides[j]!;
        sum += known[j]! * leans[at]!;
        square += squares[at]!;
      }
      const value = square > 0 ? sum / Math.sqrt(known.length * square) : 0;
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
  return { peaks: peaks.filter((peak) => peak.correlation >= LEAST_CORRELATION).slice(0, MOST_FRAMES), best };
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

/** Start and clock that fit the known start and lean furthest over the whole frame; then the frame's evidence. */
function refine(
  detector: Detector,
  peak: Peak,
  known: Int8Array,
  frameSymbols: number,
  signal: BurstSignal,
  layout: Layout,
): SoftFrame {
  const pivot = known.length / 2;
  const middle = peak.at + pivot * peak.period;
  const inBurst = Math.max(0, Math.min(frameSymbols, Math.floor((signal.to - peak.at) / peak.period) - known.length));
  const fit = (start: number, period: number) => {
    let sum = 0;
    for (let j = 0; j < known.length; j++) sum += known[j]! * lean(detector, start + j * period);
    for (let j = 0; j < inBurst; j++) sum += Math.abs(lean(detector, start + (known.length + j) * period));
    return sum;
  };
  let best = { start: peak.at, period: peak.period, value: fit(peak.at, peak.period) };
  const consider = (centre: number, period: number) => {
    const start = centre - pivot * period;
    const value = fit(start, period);
    if (value > best.value) best = { start, period, value };
  };
  // The clock first, turned about the known start's middle, so that the end slips by less than a tenth of a symbol.
  const clockStep = 0.15 / (inBurst + pivot);
  const clockSteps = Math.min(80, Math.ceil(clockReach(signal.keying, layout.symbolRate) / clockStep));
  for (let k = -clockSteps; k <= clockSteps; k++) consider(middle, peak.period * (1 + k * clockStep));
  for (const fraction of [-0.3, -0.2, -0.1, -0.05, 0.05, 0.1, 0.2, 0.3]) {
    consider(best.start + pivot * best.period + fraction * best.period, best.period);
  }
  for (let k = -3; k <= 3; k++) consider(best.start + pivot * best.period, best.period * (1 + (k * clockStep) / 3));
  for (const fraction of [-0.05, -0.025, 0.025, 0.05]) {
    consider(best.start + pivot * best.period + fraction * best.period, best.period);
  }

  const start = best.start + known.length * best.period;
  // A few symbols more than the frame: where words differ in length, what follows tells where it ended.
  const count = frameSymbols + 6;
  const total = known.length + count;
  const highs = new Float64Array(total);
  const lows = new Float64Array(total);
  for (let j = 0; j < total; j++) {
    const at = best.start + j * best.period;
    highs[j] = energyBetween(detector.high, at, at + best.period);
    if (detector.low) lows[j] = energyBetween(detector.low, at, at + best.period);
  }
  const inside = Math.max(0, Math.min(frameSymbols, Math.round((signal.to - start) / best.period)));
  const noise = signal.noiseDensity * signal.base.rateHz * best.period;
  const weighed = symbolEvidence(highs, detector.low ? lows : undefined, known.length + inside, noise, known);
  let errors = 0;
  const syncLength = layout.sync.symbols.length;
  for (let j = known.length - syncLength; j < known.length; j++) {
    if (weighed.evidence[j]! > 0 !== known[j]! > 0) errors++;
  }
  // Past the data there is no evidence either way.
  const evidence = weighed.evidence.slice(known.length);
  for (let j = 0; j < count; j++) if (start + (j + 1) * best.period > signal.base.re.length) evidence[j] = 0;
  return {
    start,
    period: best.period,
    correlation: peak.correlation,
    syncErrors: errors,
    syncEvidence: weighed.evidence.slice(known.length - syncLength, known.length),
    evidence,
    inside,
    carrierHz: detector.low ? (detector.high.hz + detector.low.hz) / 2 : detector.high.hz,
    deviationHz: detector.low ? (detector.high.hz - detector.low.hz) / 2 : undefined,
    symbolSnr: weighed.symbolSnr,
  };
}

function syncErrors(detector: Detector, peak: Peak, layout: Layout): number {
  const known = knownSymbols(layout);
  let errors = 0;
  for (let j = known.length - layout.sync.symbols.length; j < known.length; j++) {
    if (lean(detector, peak.at + j * peak.period) > 0 !== known[j]! > 0) errors++;
  }
  return errors;
}
