import { fieldValues } from "../frames/fields.ts";
import { framePlan } from "../frames/frameChecks.ts";
import { bitsOfHex, hexOfBits } from "../frames/hex.ts";
import type { Layout } from "../layouts/schema.ts";
import type { FieldValue, Modulation } from "../records.ts";
import type { Caught } from "./caught.ts";
import { readCaught } from "./prove.ts";

/** A burst as it was received, and what its layout read in it when it came on the shelf: later versions are held to it. */
export interface TestFrame {
  /** Where it comes from. */
  readonly from: string;
  readonly carrierHz: number;
  readonly modulation: Modulation;
  readonly symbolRate: number;
  /** Hex, padded with zero bits at the end. */
  readonly symbols: string;
  readonly symbolCount: number;
  /** The frame's bits, hex as well. */
  readonly bits: string;
  readonly values: Readonly<Record<string, FieldValue["value"]>>;
}

/** More tell nothing new. */
const MOST_TEST_FRAMES = 12;

/** @param tested Telegrams that were kept aside when the layout was worked out, each with its copies. */
export function testFrames(layout: Layout, tested: readonly (readonly Caught[])[]): readonly TestFrame[] {
  const plan = framePlan(layout);
  return tested
    .flatMap((copies) => {
      for (const caught of copies) {
        const read = readCaught(caught, plan);
        if (read) return [frameOf(layout, caught, read.reading.bits)];
      }
      return [];
    })
    .slice(0, MOST_TEST_FRAMES);
}

function frameOf(
  layout: Layout,
  { id, carrierHz, modulation, symbolRate, symbols }: Caught,
  bits: Uint8Array,
): TestFrame {
  return {
    from: id,
    carrierHz,
    modulation,
    symbolRate,
    symbols: hexOfBits(symbols),
    symbolCount: symbols.length,
    bits: hexOfBits(bits),
    values: valuesOf(layout, bits),
  };
}

/**
 * The test frames that a version is held to: its own, and of earlier versions those that do not say the same of the same
 * burst.
 *
 * @param byVersion The oldest first.
 */
export function testsHeldTo(byVersion: readonly (readonly TestFrame[])[]): readonly TestFrame[] {
  const kept: TestFrame[] = [];
  for (const frames of byVersion.toReversed()) {
    kept.push(...frames.filter((frame) => !kept.some((newer) => saysAsMuch(newer, frame))));
  }
  return kept;
}

function saysAsMuch(newer: TestFrame, older: TestFrame): boolean {
  const isSame = newer.symbols === older.symbols && newer.from === older.from;
  return isSame && Object.entries(older.values).every(([name, value]) => newer.values[name] === value);
}

/** How a version of a layout reads a test frame. */
export type FrameVerdict =
  | { readonly outcome: "same" }
  | { readonly outcome: "not read" }
  /** Fields whose values are others than they were, or that are no longer there. */
  | { readonly outcome: "differs"; readonly fields: readonly string[] };

/** Reads a test frame as any burst is read. */
export function frameVerdict(layout: Layout, frame: TestFrame): FrameVerdict {
  const { from, symbols, symbolCount, values, ...air } = frame;
  const caught: Caught = {
    ...air,
    id: from,
    atSeconds: 0,
    durationSeconds: symbolCount / frame.symbolRate,
    deviationHz: null,
    symbols: bitsOfHex(symbols, symbolCount),
  };
  const read = readCaught(caught, framePlan(layout));
  if (!read) return { outcome: "not read" };
  const now = valuesOf(layout, read.reading.bits);
  const fields = Object.keys(values).filter((name) => now[name] !== values[name]);
  return fields.length === 0 ? { outcome: "same" } : { outcome: "differs", fields };
}

/** What stands in a frame, by field; of a code without a word the number. */
export function valuesOf(layout: Layout, bits: Uint8Array): TestFrame["values"] {
  return Object.fromEntries(
    Object.entries(fieldValues(layout, bits)).map(([name, { value, raw }]) => [name, value ?? raw]),
  );
}
