import type { Layout } from "../../decoders/layouts/schema.ts";

/**
 * Symbols that stand for bits in a layout's line code.
 *
 * @param bits One bit each, 0 or 1. Not modified.
 * @param levelBefore The symbol on air right before the first bit, 0 or 1: it matters to the codes that speak in changes.
 * @returns One symbol each, 0 or 1.
 * @throws RangeError if the code is `pulse` and the layout has no pulse: `parseLayout` refuses such a layout.
 * @source IEEE Std 802.3 clause 7 and IEEE Std 802.5 (Manchester and its differential form); IEC 60958-1 (biphase mark).
 */
export function encodeLine(
  layout: Pick<Layout, "lineCode" | "pulse">,
  bits: Uint8Array,
  levelBefore: number,
): Uint8Array {
  const { lineCode, pulse } = layout;
  switch (lineCode) {
    case "nrz":
      return bits.slice();
    case "nrzi":
      return byChanges(bits, levelBefore, (bit) => [bit === 1]);
    case "manchester-ieee":
      return bySymbols(bits, "10", "01");
    case "manchester-thomas":
      return bySymbols(bits, "01", "10");
    case "differential-manchester":
      return byChanges(bits, levelBefore, (bit) => [bit === 0, true]);
    case "biphase-mark":
      return byChanges(bits, levelBefore, (bit) => [true, bit === 1]);
    case "biphase-space":
      return byChanges(bits, levelBefore, (bit) => [true, bit === 0]);
    case "pulse":
      if (!pulse) throw new RangeError("line code pulse without its pulses");
      return bySymbols(bits, pulse.zero, pulse.one);
    default:
      throw new RangeError(`unknown line code ${String(lineCode satisfies never)}`);
  }
}

/** Each bit is a row of symbols of its own. */
function bySymbols(bits: Uint8Array, zero: string, one: string): Uint8Array {
  const text = Array.from(bits, (bit) => (bit === 1 ? one : zero)).join("");
  return Uint8Array.from(text, Number);
}

/** Each bit says, symbol by symbol, whether the level changes. */
function byChanges(bits: Uint8Array, levelBefore: number, changesOf: (bit: number) => readonly boolean[]): Uint8Array {
  const symbols: number[] = [];
  let level = levelBefore;
  for (const bit of bits) {
    for (const changes of changesOf(bit)) {
      if (changes) level = 1 - level;
      symbols.push(level);
    }
  }
  return Uint8Array.from(symbols);
}
