import type { Layout } from "../layouts/schema.ts";
import type { Baseband } from "./baseband.ts";
import type { Ffts } from "./fft.ts";
import { type Keying, twoLevels } from "./keying.ts";
import { addRootEnergies, energyBetween, rootEnergies, type Tone, toneSums } from "./tones.ts";

/** One burst, as the filters of a layout need it. */
export interface BurstSignal {
  readonly base: Baseband;
  readonly keying: Keying;
  /** Elements of the baseband between which the burst lies. */
  readonly from: number;
  readonly to: number;
  readonly noiseDensity: number;
  readonly ffts: Ffts;
}

/** The two filters of a keying; for ASK there is one, and a threshold. */
export interface Detector {
  readonly high: Tone;
  /** FSK only. */
  readonly low: Tone | undefined;
  /** ASK only: between the root energies of off and on, for a symbol of `period`. */
  readonly threshold: number;
  readonly period: number;
}

/** Above 0: more like a 1. A root of energy, so that one strong symbol does not outvote many. */
export function lean(detector: Detector, at: number): number {
  const high = Math.sqrt(energyBetween(detector.high, at, at + detector.period));
  return detector.low
    ? high - Math.sqrt(energyBetween(detector.low, at, at + detector.period))
    : high - detector.threshold;
}

/**
 * The same in a row of symbols that begin `step` after one another.
 *
 * @param stepsASymbol Steps that a symbol of the layout's own rate takes: a whole number.
 * @param out One each; as many symbols as it is long.
 */
export function leans(detector: Detector, from: number, step: number, stepsASymbol: number, out: Float64Array): void {
  rootEnergies(detector.high, from, step, stepsASymbol, out);
  if (!detector.low) {
    for (let g = 0; g < out.length; g++) out[g] = out[g]! - detector.threshold;
    return;
  }
  const lows = new Float64Array(out.length);
  rootEnergies(detector.low, from, step, stepsASymbol, lows);
  for (let g = 0; g < out.length; g++) out[g] = out[g]! - lows[g]!;
}

/** The same of symbols that follow one another at a period near the layout's own. */
export function leanSymbols(detector: Detector, from: number, period: number, out: Float64Array): void {
  const { high, low, threshold } = detector;
  // As large as over the layout's own period, so that a longer one does not seem to lean further.
  const scale = detector.period / period;
  for (let j = 0; j < out.length; j++) out[j] = -threshold;
  addRootEnergies(high, from, period, scale, out);
  if (low) addRootEnergies(low, from, period, -scale, out);
}

/** Detectors to try, the likeliest first. */
export function* detectors(signal: BurstSignal, layout: Layout): Generator<Detector, void, undefined> {
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
