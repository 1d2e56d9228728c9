import type { Layout } from "../decoders/layouts/schema.ts";
import type { Broken } from "./scenario-shape.ts";

/**
 * The frame with what is broken in it: bits turned after the check value was worked out.
 *
 * @param bits One bit each. Not modified.
 * @throws RangeError for a bit that the frame does not have.
 */
export function brokenBits(bits: Uint8Array, { flipBits = [] }: Broken): Uint8Array {
  return turned(bits, flipBits);
}

/**
 * What goes on air of a copy: symbols of the frame turned, then the end of the sync and of the frame left out, so that
 * what comes after moves up.
 *
 * @param symbols Of one whole copy: preamble, sync and frame. Not modified.
 * @throws RangeError for a symbol that the frame does not have, or where more is cut than there is.
 */
export function brokenSymbols(layout: Layout, symbols: Uint8Array, broken: Broken): Uint8Array {
  const { flipSymbols = [], cutSyncSymbols = 0, cutEndSymbols = 0 } = broken;
  const lead = leadSymbols(layout);
  const frame = turned(symbols.subarray(lead), flipSymbols);
  if (cutSyncSymbols > layout.sync.symbols.length) throw new RangeError(`${cutSyncSymbols} symbols cut off the sync`);
  if (cutEndSymbols > frame.length) throw new RangeError(`${cutEndSymbols} symbols cut off the end`);
  return Uint8Array.from([
    ...symbols.subarray(0, lead - cutSyncSymbols),
    ...frame.subarray(0, frame.length - cutEndSymbols),
  ]);
}

/** How many symbols of a copy come before its frame. */
export function leadSymbols({ preamble, sync }: Layout): number {
  return preamble.symbols.length * preamble.repeat + sync.symbols.length;
}

function turned(values: Uint8Array, at: readonly number[]): Uint8Array {
  const out = values.slice();
  for (const i of at) {
    if (i >= out.length) throw new RangeError(`there is no number ${i} among ${out.length}`);
    out[i]! ^= 1;
  }
  return out;
}
