import type { Layout } from "../../decoders/layouts/schema.ts";

/** A stretch of a frame's bits on the ruler. */
export interface Stretch {
  readonly kind: "field" | "check" | "unassigned";
  /** Stands beside the name in the table and, where the name has no room, alone on the ruler. */
  readonly key: string;
  readonly name: string;
  readonly at: number;
  readonly bits: number;
}

/** The part of a stretch that lies in one row of the ruler, in bits from the row's left end. */
export interface RulerPart {
  readonly stretch: Stretch;
  readonly from: number;
  readonly count: number;
  /** Whether the stretch begins and ends in this part; a brace is closed only there. */
  readonly opens: boolean;
  readonly closes: boolean;
}

export interface RulerRow {
  readonly firstBit: number;
  readonly bitCount: number;
  readonly parts: readonly RulerPart[];
}

/** All of a frame in order: fields by number, checks by letter, and what neither names. */
export function stretchesOf({ bits, fields, checks }: Layout): Stretch[] {
  const named: Stretch[] = [
    ...fields.map((field) => ({ kind: "field", name: field.name, at: field.at, bits: field.bits }) as const),
    ...checks.map((check) => {
      const width = check.kind === "parity" ? 1 : check.width;
      return { kind: "check", name: check.kind, at: check.at, bits: width } as const;
    }),
  ]
    .toSorted((a, b) => a.at - b.at)
    .map((stretch, i) => ({ ...stretch, key: String(i + 1) }));
  const all: Stretch[] = [];
  let next = 0;
  for (const stretch of named) {
    if (stretch.at > next) all.push(unassigned(next, stretch.at - next));
    all.push(stretch);
    next = stretch.at + stretch.bits;
  }
  if (next < bits) all.push(unassigned(next, bits - next));
  return all;
}

/** @param bitsPerRow At least 1. */
export function rulerRows(stretches: readonly Stretch[], bitsPerRow: number): RulerRow[] {
  if (!(bitsPerRow >= 1)) throw new RangeError(`a ruler's row needs a bit at least, got ${bitsPerRow}`);
  const last = stretches.at(-1);
  const bitCount = last === undefined ? 0 : last.at + last.bits;
  const rows: RulerRow[] = [];
  for (let firstBit = 0; firstBit < bitCount; firstBit += bitsPerRow) {
    const end = Math.min(bitCount, firstBit + bitsPerRow);
    const parts = stretches
      .filter(({ at, bits }) => at < end && at + bits > firstBit)
      .map((stretch) => {
        const from = Math.max(stretch.at, firstBit);
        const to = Math.min(stretch.at + stretch.bits, end);
        return {
          stretch,
          from: from - firstBit,
          count: to - from,
          opens: from === stretch.at,
          closes: to === stretch.at + stretch.bits,
        };
      });
    rows.push({ firstBit, bitCount: end - firstBit, parts });
  }
  return rows;
}

/**
 * How many bits stand in a row of the ruler: whole bytes, as many as a width has room for, spread so that the last row
 * is not a stump.
 */
export function bitsPerRow(bitCount: number, widthPx: number, leastPxPerBit: number): number {
  const room = Math.max(1, Math.floor(widthPx / leastPxPerBit / 8));
  const bytes = Math.max(1, Math.ceil(bitCount / 8));
  return 8 * Math.ceil(bytes / Math.ceil(bytes / room));
}

function unassigned(at: number, bits: number): Stretch {
  return { kind: "unassigned", key: "·", name: "unassigned", at, bits };
}
