import type { FrameBits } from "./frameBits.ts";
import type { FrameStretch } from "./frameStretches.ts";
import { type FrameTiming, symbolAt } from "./frameTiming.ts";
import { decimalsFor } from "./range.ts";

/** What was being sent at a moment, from the sample up to the field; `undefined` outside of the burst. */
export function cursorWords(
  timing: FrameTiming,
  found: FrameBits,
  stretches: readonly FrameStretch[],
  bit: number | undefined,
  atSeconds: number,
  sampleRateHz: number,
): string | undefined {
  const symbol = symbolAt(timing, atSeconds);
  if (symbol === undefined) return undefined;
  const place = `${atSeconds.toFixed(decimalsFor(1 / sampleRateHz))}\u202fs`;
  // A moment that was given as a sample may lie a hair before it.
  const sample = Math.floor(atSeconds * sampleRateHz + 1e-6).toLocaleString("en-GB");
  const start = `The cursor at ${place} is sample ${sample}, symbol ${symbol + 1} of ${timing.symbols.length}, sent as ${timing.symbols[symbol]}`;
  const hasFrame = timing.firstBitSymbol !== undefined && timing.symbolsPerBit !== undefined;
  if (found.source === "symbols" || found.source === "nothing" || !hasFrame) return `${start}.`;
  if (bit === undefined) {
    const isBefore = timing.firstBitSymbol !== undefined && symbol < timing.firstBitSymbol;
    return `${start}: ${isBefore ? "preamble and sync, before the frame" : "no part of the frame"}.`;
  }
  const one = stretches.find(({ stretch }) => bit >= stretch.at && bit < stretch.at + stretch.bits);
  const field = one ? `, in ${one.stretch.name}${one.value === "" ? "" : `, ${one.value}`}` : "";
  return `${start}: bit ${bit}, a ${found.bits[bit]}${field}.`;
}
