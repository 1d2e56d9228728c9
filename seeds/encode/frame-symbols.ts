import type { Layout } from "../../decoders/layouts/schema.ts";
import { encodeLine } from "./line-code.ts";
import { whiteningBits } from "./whitening.ts";

/**
 * What one copy of a telegram is on air: preamble, sync and the whitened, line-coded frame.
 *
 * @param bits The frame before whitening, one bit each, length `layout.bits`. Not modified.
 * @returns One symbol each, 0 or 1.
 * @throws RangeError if the number of bits is not the layout's.
 */
export function frameSymbols(layout: Layout, bits: Uint8Array): Uint8Array {
  if (bits.length !== layout.bits) throw new RangeError(`${layout.id} has ${layout.bits} bits, got ${bits.length}`);
  const whitening = layout.whitening && whiteningBits(layout.whitening, bits.length);
  const whitened = whitening ? bits.map((bit, i) => bit ^ whitening[i]!) : bits;
  const lead = layout.preamble.symbols.repeat(layout.preamble.repeat) + layout.sync.symbols;
  const frame = encodeLine(layout, whitened, Number(lead.at(-1)));
  const symbols = new Uint8Array(lead.length + frame.length);
  symbols.set(Uint8Array.from(lead, Number));
  symbols.set(frame, lead.length);
  return symbols;
}

/** Symbols that one frame bit takes on air; with pulses of two lengths, their mean. */
export function symbolsPerBit(layout: Pick<Layout, "lineCode" | "pulse">): number {
  if (layout.lineCode === "nrz" || layout.lineCode === "nrzi") return 1;
  if (layout.lineCode === "pulse" && layout.pulse) return (layout.pulse.zero.length + layout.pulse.one.length) / 2;
  return 2;
}
