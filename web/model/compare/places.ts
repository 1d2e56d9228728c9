import type { Layout } from "../../../decoders/layouts/schema.ts";
import type { BurstSymbolsBody } from "../../../server/http/wire.ts";
import { figure } from "../quantities.ts";
import type { Frame } from "../recording/frames.ts";
import type { Alignment } from "./address.ts";

/** Where in its recording the moment lies that is drawn at zero. */
export interface Place {
  readonly atSeconds: number;
  /** How it was come by, in a few words. */
  readonly says: string;
}

/** What is known of a frame that could be lined up. */
export interface Placeable {
  readonly frame: Frame | undefined;
  readonly layout: Layout | undefined;
  readonly sampleRateHz: number;
  /** Where its symbols lie, as measured; `undefined` while that is not known. */
  readonly symbols: BurstSymbolsBody["found"] | undefined;
  readonly offsetSeconds: number;
}

/** The moment of each that lies at zero. Without a frame it is the recording's first sample. */
export function placeOf(one: Placeable, align: Alignment): Place {
  if (align === "offset")
    return { atSeconds: one.offsetSeconds, says: `${figure(one.offsetSeconds, 6)}\u202fs, as typed` };
  const { frame } = one;
  if (frame === undefined) return { atSeconds: 0, says: "first sample of the recording" };
  const burst = { atSeconds: frame.burst.atSeconds, says: "the burst's beginning" };
  if (align === "start") return burst;
  return align === "sync" ? (firstBit(one, frame) ?? burst) : (frameStart(one, frame) ?? burst);
}

/** In words, for the choice. */
export const ALIGNMENT_WORDS: Readonly<Record<Alignment, string>> = {
  start: "Start of the burst",
  frame: "First symbol of the frame",
  sync: "First bit, after the sync",
  offset: "Times that I type",
};

/** Symbols before the first bit. */
export function leadSymbols({ preamble, sync }: Layout): number {
  return preamble.symbols.length * preamble.repeat + sync.symbols.length;
}

/** Worked out from a burst's beginning, since a burst that is found is never found more exactly than this. */
const BURST_START_SECONDS = 0.25e-3;

function firstBit({ symbols, layout, sampleRateHz }: Placeable, frame: Frame): Place | undefined {
  if (symbols && symbols.firstBitSample !== null && symbols.sync !== "none") {
    const how = symbols.sync === "found" ? "" : ", at the nearest try";
    return { atSeconds: symbols.firstBitSample / sampleRateHz, says: `first bit, measured in the samples${how}` };
  }
  if (!layout) return undefined;
  const seconds = leadSymbols(layout) / layout.symbolRate;
  return {
    atSeconds: frame.burst.atSeconds + seconds,
    says: `first bit, ${figure(seconds * 1000, 2)}\u202fms after the burst began, ±\u202f${figure(BURST_START_SECONDS * 1000, 2)}\u202fms`,
  };
}

function frameStart(one: Placeable, frame: Frame): Place | undefined {
  const { symbols, layout, sampleRateHz } = one;
  if (!layout) return undefined;
  const bit = firstBit(one, frame);
  if (!bit) return undefined;
  const measured = symbols && symbols.firstBitSample !== null && symbols.sync !== "none";
  const symbolSeconds = measured ? symbols.symbolSamples / sampleRateHz : 1 / layout.symbolRate;
  const says = measured ? "first symbol, counted back from the first bit" : "the burst's beginning";
  return { atSeconds: bit.atSeconds - leadSymbols(layout) * symbolSeconds, says };
}
