import type { FramePlan } from "../frames/frameChecks.ts";
import { hexOfBits } from "../frames/hex.ts";
import { type FrameReading, knownLog, readFrame } from "../frames/readFrame.ts";
import { findFrames, mostSyncErrors } from "../signal/matched.ts";
import { evidenceFrom, type SoftFrame } from "../signal/refine.ts";
import { toneSums } from "../signal/tones.ts";
import { type Look, sampleAt } from "./hearAgain.ts";

/** Where the symbols of a burst lie. Samples count from the recording's first one and may lie between two. */
export interface BurstSymbols {
  readonly layout: string | null;
  /** Whether the layout's known start is there, or this is the place that is most like it. */
  readonly sync: "found" | "nearest try" | "none";
  readonly firstBitSample: number | null;
  readonly symbolSamples: number;
  /** `null` where bits differ in length, or there is no layout. */
  readonly symbolsPerBit: number | null;
  readonly firstSymbolSample: number;
  readonly symbolsBeforeBits: number;
  /** As received, each decided by itself; most significant first. */
  readonly symbols: string;
  readonly symbolCount: number;
  /** 16 · ln(P(right)/P(wrong)) each, cut to 0..255. */
  readonly confidence: readonly number[];
}

/**
 * The symbols of a frame in a burst, from the preamble's begin as far as it was recorded.
 *
 * @param bits The frame's bits as hex, where they are known: of several starts the one that gives them is taken.
 * @returns `undefined` where nothing in the burst is like the layout's known start.
 */
export function frameSymbols(look: Look, plan: FramePlan, bits: string | undefined): BurstSymbols | undefined {
  const best = frameIn(look, plan, bits);
  if (!best) return undefined;
  const { layout } = plan;
  const { soft, reading } = best;
  const known = layout.preamble.symbols.repeat(layout.preamble.repeat) + layout.sync.symbols;
  // A copy that the recording cut into has lost its beginning.
  const before = Math.min(known.length, Math.floor(soft.start / soft.period));
  const count = before + reading.likeliest.symbols.length;
  const evidence = evidenceOf(look, soft, known.slice(known.length - before), before, count);
  const [words] = plan.code.words;
  return {
    layout: layout.id,
    sync: soft.syncErrors <= mostSyncErrors(layout) ? "found" : "nearest try",
    firstBitSample: sampleAt(look, soft.start),
    symbolSamples: soft.period * look.scene.base.decimation,
    symbolsPerBit: words.zero.length === words.one.length ? words.one.length : null,
    firstSymbolSample: sampleAt(look, soft.start - before * soft.period),
    symbolsBeforeBits: before,
    ...packed(evidence),
  };
}

/** A frame in a burst: how it was found, and what it says. */
export interface FoundFrame {
  readonly soft: SoftFrame;
  readonly reading: FrameReading;
}

/** The frame with these bits; where there is none, the one whose start is most like the layout's. */
export function frameIn(look: Look, plan: FramePlan, bits: string | undefined): FoundFrame | undefined {
  const { sync } = plan.layout;
  const frames = findFrames(look.signal, plan.layout, plan.mostSymbols).frames.map((soft) => ({
    soft,
    reading: readFrame(plan, soft.evidence, soft.inside, knownLog(soft.syncEvidence, sync.symbols)),
  }));
  const hasBits = ({ reading }: FoundFrame) => Number(hexOfBits(reading.bits) === bits);
  return frames.sort(
    (a, b) =>
      hasBits(b) - hasBits(a) || a.soft.syncErrors - b.soft.syncErrors || b.soft.correlation - a.soft.correlation,
  )[0];
}

function evidenceOf(look: Look, soft: SoftFrame, known: string, before: number, count: number): Float64Array {
  const { base, noiseDensity } = look.signal;
  const { carrierHz, deviationHz, period } = soft;
  return evidenceFrom(
    tonesAt(look, carrierHz, deviationHz),
    {
      at: soft.start - before * period,
      period,
      count,
      known: Int8Array.from(known, (symbol) => (symbol === "1" ? 1 : -1)),
    },
    before + soft.inside,
    noiseDensity * base.rateHz * period,
  );
}

function tonesAt({ signal }: Look, carrierHz: number, deviationHz: number | undefined) {
  return {
    high: toneSums(signal.base, carrierHz + (deviationHz ?? 0)),
    low: deviationHz === undefined ? undefined : toneSums(signal.base, carrierHz - deviationHz),
  };
}

/**
 * The symbols of a burst as its own clock cuts it, without any layout; the first one's place is good to about a sample.
 *
 * @returns `undefined` where its edges keep no clock.
 */
export function clockSymbols(look: Look): BurstSymbols | undefined {
  const { signal, scene } = look;
  const { keying, base, from } = signal;
  const clock = keying.symbols;
  if (!clock || clock.symbols.length === 0) return undefined;
  const period = base.rateHz / clock.rateHz;
  const at = from + clock.start;
  const evidence = evidenceFrom(
    tonesAt(look, keying.centreHz, keying.deviationHz),
    { at: at + 0.5, period, count: clock.symbols.length, known: new Int8Array(0) },
    clock.symbols.length,
    signal.noiseDensity * base.rateHz * period,
  );
  return {
    layout: null,
    sync: "none",
    firstBitSample: null,
    symbolSamples: period * scene.base.decimation,
    symbolsPerBit: null,
    firstSymbolSample: sampleAt(look, at + 0.5),
    symbolsBeforeBits: 0,
    ...packed(evidence),
  };
}

function packed(evidence: Float64Array): Pick<BurstSymbols, "symbols" | "symbolCount" | "confidence"> {
  return {
    symbols: hexOfBits(Uint8Array.from(evidence, (value) => (value > 0 ? 1 : 0))),
    symbolCount: evidence.length,
    confidence: Array.from(evidence, (value) => Math.min(255, Math.round(16 * Math.abs(value)))),
  };
}
