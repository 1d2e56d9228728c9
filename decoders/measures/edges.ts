import type { Modulation } from "../records.ts";
import type { BandSignal } from "./bandLimited.ts";
import { onClock } from "./edgeClock.ts";
import { levelEdges, levelsOf } from "./levelEdges.ts";
import { toneEdges } from "./toneEdges.ts";

export type EdgeKind = "burst begins" | "burst ends" | "level rises" | "level falls" | "tone rises" | "tone falls";

/** A moment at which what is sent changes. */
export interface Edge {
  /** Sample of the stretch; may lie between samples. */
  readonly at: number;
  readonly kind: EdgeKind;
  /** Linear, full scale 1. */
  readonly levelBefore: number;
  readonly levelAfter: number;
  /** Of a change of tone, from the tuned centre. */
  readonly hzBefore: number | undefined;
  readonly hzAfter: number | undefined;
  /** How far noise may have moved it: one standard deviation, in samples. */
  readonly sigma: number;
}

export interface EdgeHints {
  /** Noise power per hertz, full scale 1. */
  readonly noiseDensity: number;
  /** Samples a symbol where that is known: it sets how much is averaged, and lets edges be held against a clock. */
  readonly symbolSamples?: number | undefined;
  /** Where it is known: FSK has no level edges but its two ends, ASK no tones. */
  readonly modulation?: Modulation | undefined;
}

/**
 * All edges of a stretch, ascending in time: where the level goes through half of the way between the levels on both
 * sides, and where the frequency does. What is averaged is averaged evenly to both sides, so no edge moves by it.
 *
 * Where the length of a symbol is known and the edges lie no further off a steady clock than noise puts them, they are
 * drawn to it: see `onClock`.
 */
export function edgesOf(signal: BandSignal, hints: EdgeHints): Edge[] {
  const seen = edgesSeen(signal, hints);
  return hints.symbolSamples === undefined ? seen : onClock(seen, hints.symbolSamples);
}

/** The same, each where it is seen by itself. */
export function edgesSeen(signal: BandSignal, hints: EdgeHints): Edge[] {
  const { modulation, symbolSamples } = hints;
  const symbol = symbolSamples ?? guessedSymbol(signal);
  const noise = Math.sqrt(hints.noiseDensity * signal.noiseHz);
  const levels = levelsOf(signal);
  const level = levelEdges(signal, levels, symbol, noise, modulation);
  const tone = modulation === "ask" ? [] : toneEdges(signal, levels, symbol, noise);
  return [...(modulation === "fsk" ? level.filter(isEnd) : level), ...tone].sort((a, b) => a.at - b.at);
}

/** The one of them that is nearest to a place, within reach of it. */
export function nearestEdge(edges: readonly Edge[], at: number, reach: number): Edge | undefined {
  let best: Edge | undefined;
  for (const edge of edges) {
    const off = Math.abs(edge.at - at);
    if (off <= reach && (!best || off < Math.abs(best.at - at))) best = edge;
  }
  return best;
}

function isEnd({ kind }: Edge): boolean {
  return kind === "burst begins" || kind === "burst ends";
}

const FEWEST_SAMPLES = 6;

/** Nothing faster than the band passes it; a symbol takes about as long as two of its swings. */
function guessedSymbol({ rateHz, noiseHz }: BandSignal): number {
  return Math.max(FEWEST_SAMPLES, (2 * rateHz) / noiseHz);
}
