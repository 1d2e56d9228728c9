import { fieldValues } from "../../../decoders/frames/fields.ts";
import { bitsOfHex } from "../../../decoders/frames/hex.ts";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { whiteningSequence } from "../../../decoders/layouts/whitening.ts";
import { decodeSymbols, lineCodeOf } from "../../../decoders/linecode/lineCode.ts";
import type { TelegramBody } from "../../../server/http/wire.ts";
import type { Frame } from "./frames.ts";

/** What the bit strip of a frame shows. */
export type FrameBits =
  | {
      /** `telegram`: as it was decoded. `read again`: made here of the burst's symbols, after its nearest layout. */
      readonly source: "telegram" | "read again";
      readonly bits: Uint8Array;
      readonly layout: Layout;
      readonly fields: TelegramBody["fields"];
      /** Bits whose symbols are no word of the line code, ascending. */
      readonly brokenAt: readonly number[];
      /** Fewer bits than the layout has: the burst ended before. */
      readonly missingBits: number;
    }
  /** Bits of a telegram whose layout is no longer on the shelf. */
  | { readonly source: "bare telegram"; readonly bits: Uint8Array; readonly layoutId: string }
  /** The burst as it was cut, one symbol each. */
  | { readonly source: "symbols"; readonly bits: Uint8Array }
  | { readonly source: "nothing" };

/** @param layoutOf The layout of an id; `undefined` if the shelf has none. */
export function frameBits(
  { burst, telegram }: Pick<Frame, "burst" | "telegram">,
  layoutOf: (id: string) => Layout | undefined,
): FrameBits {
  if (telegram) {
    const { bits: hex, bitCount, layout: layoutId, fields } = telegram.telegram;
    const bits = bitsOfHex(hex, bitCount);
    const layout = layoutOf(layoutId);
    // A layout that was changed since has another frame.
    if (layout?.bits !== bitCount) return { source: "bare telegram", bits, layoutId };
    return { source: "telegram", bits, layout, fields, brokenAt: [], missingBits: 0 };
  }
  if (burst.symbols === null || burst.symbolCount === 0) return { source: "nothing" };
  const symbols = bitsOfHex(burst.symbols, burst.symbolCount);
  const layout = burst.layout === null ? undefined : layoutOf(burst.layout);
  const read = layout && STARTED.has(burst.outcome) ? readAgain(symbols, layout) : undefined;
  return read ?? { source: "symbols", bits: symbols };
}

/** Rungs that are only asked where a known start was found. */
const STARTED: ReadonlySet<Frame["burst"]["outcome"]> = new Set(["line-code", "length", "check", "values"]);
/** A start with more wrong symbols than this share is no start. */
const WRONG_ALLOWED = 0.15;

/** The frame behind the likeliest start; these are hard symbols, so it may differ from what the decoder weighed. */
function readAgain(symbols: Uint8Array, layout: Layout): FrameBits | undefined {
  const start = startOf(symbols, layout);
  if (start === undefined) return undefined;
  const level = layout.sync.symbols.endsWith("1") ? 1 : 0;
  const { bits: onAir, brokenAt } = decodeSymbols(lineCodeOf(layout), symbols.subarray(start), level, layout.bits);
  if (onAir.length === 0) return undefined;
  const whitening = layout.whitening ? whiteningSequence(layout.whitening, layout.bits) : new Uint8Array(layout.bits);
  const bits = onAir.map((bit, i) => bit ^ whitening[i]!);
  const missingBits = layout.bits - bits.length;
  // A field that is not all there has no value.
  const there = { ...layout, fields: layout.fields.filter(({ at, bits: count }) => at + count <= bits.length) };
  return { source: "read again", bits, layout, fields: fieldValues(there, bits), brokenAt, missingBits };
}

/** Index after the sync, at the place where fewest of its symbols and of the preamble's end are wrong. */
function startOf(symbols: Uint8Array, { preamble, sync }: Layout): number | undefined {
  const lead = preamble.symbols.repeat(Math.min(preamble.repeat, Math.ceil(16 / preamble.symbols.length)));
  const known = lead.slice(-16) + sync.symbols;
  let best: { at: number; wrong: number } | undefined;
  for (let at = 0; at + known.length < symbols.length; at++) {
    let wrong = 0;
    for (let i = 0; i < known.length; i++) if (Number(known[i]) !== symbols[at + i]) wrong++;
    if (!best || wrong < best.wrong) best = { at, wrong };
  }
  return best && best.wrong <= WRONG_ALLOWED * known.length ? best.at + known.length : undefined;
}
