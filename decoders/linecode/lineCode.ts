import type { Layout, LineCodeName } from "../layouts/schema.ts";
import { biphaseMark, biphaseSpace } from "./biphase.ts";
import { differentialManchester } from "./differentialManchester.ts";
import { manchesterIeee, manchesterThomas } from "./manchester.ts";
import { nrz } from "./nrz.ts";
import { nrzi } from "./nrzi.ts";
import { pulse } from "./pulse.ts";
import { splitWords } from "./splitWords.ts";

/** The on-air symbols that stand for each bit, such as `"10"`. */
export interface Words {
  readonly zero: string;
  readonly one: string;
}

/** A line code as data: which symbols stand for a bit, given the level before it. */
export interface LineCode {
  readonly name: LineCodeName;
  /** By the level before the bit: the symbol sent last. */
  readonly words: readonly [after0: Words, after1: Words];
}

/** The symbols of each word, 0 or 1 each: by the level before the bit, then by the bit. */
export type WordSymbols = readonly [readonly [Uint8Array, Uint8Array], readonly [Uint8Array, Uint8Array]];

export function wordSymbols({ words: [after0, after1] }: LineCode): WordSymbols {
  const of = ({ zero, one }: Words) => [toSymbols(zero), toSymbols(one)] as const;
  return [of(after0), of(after1)];
}

/** Such as `"10"`, one symbol each. */
export function toSymbols(word: string): Uint8Array {
  return Uint8Array.from(word, (c) => (c === "1" ? 1 : 0));
}

export interface DecodedSymbols {
  /** One bit each. */
  readonly bits: Uint8Array;
  /** Indices of the bits whose symbols are no word of the code, ascending; such a bit is the nearest word's. */
  readonly brokenAt: number[];
  /** Symbols that the bits took. */
  readonly used: number;
}

/** The line code that a layout names. @throws RangeError if it is `pulse` and the layout has no pulses. */
export function lineCodeOf(layout: Pick<Layout, "lineCode" | "pulse">): LineCode {
  switch (layout.lineCode) {
    case "nrz":
      return nrz;
    case "nrzi":
      return nrzi;
    case "manchester-ieee":
      return manchesterIeee;
    case "manchester-thomas":
      return manchesterThomas;
    case "differential-manchester":
      return differentialManchester;
    case "biphase-mark":
      return biphaseMark;
    case "biphase-space":
      return biphaseSpace;
    case "pulse":
      if (!layout.pulse) throw new RangeError("line code pulse without the symbols of its pulses");
      return pulse(layout.pulse);
    default:
      return layout.lineCode satisfies never;
  }
}

/**
 * Bits from symbols that are already decided.
 *
 * Where the symbols are no word of the code the nearest word is taken, and of two that are as near the one that ends
 * on the symbol received. The next bit starts from the symbol received, so one wrong symbol does not run on.
 *
 * @param symbols One symbol each, 0 or 1. Not modified. Fewer than a word at the end are left.
 * @param level The symbol before the first bit.
 * @param bitCount How many bits to take; fewer come back where the symbols run out. All that fit if left off.
 */
export function decodeSymbols(
  code: LineCode,
  symbols: Uint8Array,
  level: 0 | 1,
  bitCount: number = Number.POSITIVE_INFINITY,
): DecodedSymbols {
  const [after0, after1] = code.words;
  const length = after0.zero.length;
  // Words of two lengths only come with `pulse`, which has no memory.
  if (after0.one.length !== length) return splitWords(after0, symbols, bitCount);

  const count = Math.min(bitCount, Math.floor(symbols.length / length));
  const bits = new Uint8Array(count);
  const brokenAt: number[] = [];
  let before: number = level;
  for (let i = 0; i < count; i++) {
    const words = before === 0 ? after0 : after1;
    const start = i * length;
    const last = symbols[start + length - 1]!;
    const toZero = distance(words.zero, symbols, start);
    const toOne = distance(words.one, symbols, start);
    if (toOne < toZero || (toOne === toZero && Number(words.zero.at(-1)) !== last)) bits[i] = 1;
    if (toZero > 0 && toOne > 0) brokenAt.push(i);
    before = last;
  }
  return { bits, brokenAt, used: count * length };
}

/** How many symbols from `start` on differ from a word's. */
function distance(word: string, symbols: Uint8Array, start: number): number {
  let differ = 0;
  for (let i = 0; i < word.length; i++) if (Number(word[i]) !== symbols[start + i]) differ++;
  return differ;
}
