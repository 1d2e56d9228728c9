import { type Stretch, stretchesOf } from "../fieldRuler.ts";
import type { Difference, FrameDifferences } from "./differences.ts";
import type { Picked } from "./picked.ts";

/** The bits of one of those compared, with those that differ from the first's. */
export interface BitRow {
  readonly letter: string;
  /** Its place in the address, for its ink. */
  readonly at: number;
  readonly bits: Uint8Array;
  readonly differing: ReadonlySet<number>;
}

export interface ShownDifference {
  readonly letter: string;
  readonly difference: Difference;
}

/** Ribbons that stand above each other: bit for bit, and `firstBit` is the number of the leftmost. */
export interface BitRowsShown {
  readonly rows: readonly BitRow[];
  readonly firstBit: number;
  /** Of the layout that all were read by; none for symbols. */
  readonly stretches: readonly Stretch[];
  readonly differences: readonly ShownDifference[];
}

/** The first with all that can be held against it bit by bit. Those that cannot are left out; the list says why. */
export function rowsOf(
  these: readonly (Picked & { readonly at: number })[],
  found: readonly FrameDifferences[],
): BitRowsShown {
  const [first, ...others] = these;
  if (first === undefined || first.bits.source === "nothing") return NONE;
  const comparable = others.flatMap((one, i) => {
    const difference = found[i];
    return difference === undefined || difference.kind === "none" || one.bits.source === "nothing"
      ? []
      : [{ ...one, ownBits: one.bits.bits, difference, shift: difference.kind === "symbols" ? difference.shift : 0 }];
  });
  if (comparable.length === 0) return NONE;
  // Symbols are drawn where all have some; bits of a layout all begin at its first.
  const from = Math.max(0, ...comparable.map(({ shift }) => shift));
  const isBits = comparable.some(({ difference }) => difference.kind === "bits");
  const firstBits = first.bits.bits;
  return {
    firstBit: from,
    stretches:
      isBits && (first.bits.source === "telegram" || first.bits.source === "read again")
        ? stretchesOf(first.bits.layout)
        : [],
    rows: [
      { letter: first.letter, at: first.at, bits: firstBits.subarray(from), differing: new Set() },
      ...comparable.map(({ letter, at, ownBits, difference, shift }) => ({
        letter,
        at,
        bits: ownBits.subarray(from - shift),
        differing: new Set(difference.differing.map((bit) => bit - from)),
      })),
    ],
    differences: comparable.flatMap(({ letter, difference }) =>
      difference.list.map((one) => ({ letter, difference: one })),
    ),
  };
}

const NONE: BitRowsShown = { rows: [], firstBit: 0, stretches: [], differences: [] };
