import type { FrameBits } from "./frameBits.ts";
import type { TimeRange } from "./range.ts";

/** Where the symbols of a burst lie in time. */
export interface FrameTiming {
  /** Where its first symbol begins, from the recording's first sample. */
  readonly firstSymbolSeconds: number;
  readonly symbolSeconds: number;
  /** One each, 0 or 1. */
  readonly symbols: Uint8Array;
  /** 16 · ln(P(right) / P(wrong)) of each, cut to 0..255; empty where it is not known. */
  readonly confidences: readonly number[];
  /** Which symbol is the first one of the frame's first bit; `undefined` without a frame. */
  readonly firstBitSymbol: number | undefined;
  /** `undefined` without a frame, or where it differs from bit to bit. */
  readonly symbolsPerBit: number | undefined;
}

/** When so many bits of a frame were sent; `undefined` where that is not known. */
export function timeOfBits(timing: FrameTiming, firstBit: number, count: number): TimeRange | undefined {
  const { firstBitSymbol, symbolsPerBit } = timing;
  if (firstBitSymbol === undefined || symbolsPerBit === undefined) return undefined;
  return timeOfSymbols(timing, firstBitSymbol + firstBit * symbolsPerBit, count * symbolsPerBit);
}

function timeOfSymbols(timing: FrameTiming, first: number, count: number): TimeRange {
  const fromSeconds = timing.firstSymbolSeconds + first * timing.symbolSeconds;
  return { fromSeconds, toSeconds: fromSeconds + count * timing.symbolSeconds };
}

/** The symbol that was sent at a moment; `undefined` outside of the burst. */
export function symbolAt(timing: FrameTiming, atSeconds: number): number | undefined {
  const index = Math.floor((atSeconds - timing.firstSymbolSeconds) / timing.symbolSeconds);
  return index >= 0 && index < timing.symbols.length ? index : undefined;
}

/** The bit of the frame that was being sent at a moment; `undefined` before its first and after its last one. */
export function bitAt(timing: FrameTiming, found: FrameBits, atSeconds: number): number | undefined {
  const symbol = symbolAt(timing, atSeconds);
  if (symbol === undefined || found.source === "nothing") return undefined;
  if (found.source === "symbols") return symbol;
  const { firstBitSymbol, symbolsPerBit } = timing;
  if (firstBitSymbol === undefined || symbolsPerBit === undefined) return undefined;
  const bit = Math.floor((symbol - firstBitSymbol) / symbolsPerBit);
  return bit >= 0 && bit < found.bits.length ? bit : undefined;
}

/** The symbols of a bit: index of the first, and how many. */
function symbolsOfBit(timing: FrameTiming, bit: number): readonly [first: number, count: number] | undefined {
  const { firstBitSymbol, symbolsPerBit } = timing;
  if (firstBitSymbol === undefined || symbolsPerBit === undefined) return undefined;
  return [firstBitSymbol + bit * symbolsPerBit, symbolsPerBit];
}

/**
 * How sure each bit is: its least sure symbol's confidence. Empty where symbols have none.
 *
 * @returns 0..255 as in `FrameTiming.confidences`, one a bit.
 */
export function bitConfidences(timing: FrameTiming, found: FrameBits): readonly number[] {
  const { confidences } = timing;
  if (confidences.length === 0 || found.source === "nothing") return [];
  if (found.source === "symbols") return confidences;
  if (timing.firstBitSymbol === undefined || timing.symbolsPerBit === undefined) return [];
  return Array.from(found.bits, (_, bit) => {
    const place = symbolsOfBit(timing, bit);
    if (!place) return 0;
    const [first, count] = place;
    return confidences.slice(first, first + count).reduce((least, one) => Math.min(least, one), 255);
  });
}

/** @param confidence 16 · ln(P(right) / P(wrong)). @returns The chance that the symbol is wrong. */
export function chanceWrong(confidence: number): number {
  return 1 / (1 + Math.exp(confidence / 16));
}
