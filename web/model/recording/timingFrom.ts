import { bitsOfHex } from "../../../decoders/frames/hex.ts";
import type { BurstSymbolsBody } from "../../../server/http/wire.ts";
import type { FrameTiming } from "./frameTiming.ts";

/** Where symbols lie, in seconds; `undefined` where the server could not tell, or has not yet. */
export function timingFrom(body: BurstSymbolsBody | undefined, sampleRateHz: number): FrameTiming | undefined {
  const found = body?.found;
  if (!found) return undefined;
  return {
    firstSymbolSeconds: found.firstSymbolSample / sampleRateHz,
    symbolSeconds: found.symbolSamples / sampleRateHz,
    symbols: bitsOfHex(found.symbols, found.symbolCount),
    confidences: found.confidence,
    firstBitSymbol: found.firstBitSample === null ? undefined : found.symbolsBeforeBits,
    symbolsPerBit: found.symbolsPerBit ?? undefined,
  };
}
