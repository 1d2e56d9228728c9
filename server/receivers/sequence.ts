import type { Gap } from "../store/store.ts";
import { joined, type Range, type Ranges, within, without } from "./ranges.ts";

/** Which sequences of one start of a receiver have come, and which have not. */
export interface SequenceState {
  /** A line with this sequence is there. Returns the gap that it opens. */
  heard(sequence: number, at: string): Gap | undefined;
  /** The receiver no longer has these. Returns the gap that this opens, if they lie further on than was known. */
  lost(range: Range, at: string): Gap | undefined;
  /** Gaps that nothing is missing of any more, each in pieces that say how they ended; told once. */
  closed(): Gap[];
  /** Every sequence up to it is there or lost; `undefined` before the first. */
  acknowledged(): number | undefined;
  /** Whether it came before; what lies below the first that came counts as come. */
  has(sequence: number): boolean;
  /** The first missing one. */
  missingFrom(): number | undefined;
  /** Highest sequence that came. */
  highest(): number | undefined;
}

interface OpenGap {
  readonly gap: Gap;
  missing: Ranges;
  lost: Range[];
}

/** What is known from before, when a receiver connects again. */
export interface SequenceStart {
  readonly boot: string;
  /** Whether what came before the first line is missed as well: a start of a receiver counts from 0 or from 1. */
  readonly fromOne: boolean;
  readonly highest: number | undefined;
  /** Gaps with what is still missing of each. */
  readonly gaps: readonly { readonly gap: Gap; readonly missing: Ranges }[];
}

/** Memory grows with the gaps, not with the lines. */
export function createSequence(start: SequenceStart): SequenceState {
  let highest = start.highest;
  let hasZero = start.highest === 0;
  let open: OpenGap[] = start.gaps.map(({ gap, missing }) => ({ gap, missing, lost: [] }));
  const missingFrom = () =>
    open.reduce<number | undefined>((least, one) => lesser(least, one.missing[0]?.from), undefined);

  /** `gapTo`: the last one that is missing if `last` is the highest that is known of. */
  function reach(last: number, gapTo: number, at: string): Gap | undefined {
    const before = highest ?? (start.fromOne ? 0 : undefined);
    if (highest === undefined || last > highest) highest = last;
    if (before === undefined || gapTo <= before) return undefined;
    const range = { from: before + 1, to: gapTo };
    const gap: Gap = { boot: start.boot, ...range, noticedAt: at, state: "open" };
    open.push({ gap, missing: [range], lost: [] });
    return gap;
  }

  return {
    heard(sequence, at) {
      if (sequence === 0) hasZero = true;
      if (highest !== undefined && sequence <= highest) {
        for (const one of open) one.missing = without(one.missing, { from: sequence, to: sequence });
      }
      return reach(sequence, sequence - 1, at);
    },
    lost(range, at) {
      if (!start.fromOne) highest ??= range.from - 1;
      const gap = reach(range.to, range.to, at);
      for (const one of open) {
        one.lost = joined([...one.lost, ...within(one.missing, range)]);
        one.missing = without(one.missing, range);
      }
      return gap;
    },
    closed() {
      const done = open.filter((one) => one.missing.length === 0);
      open = open.filter((one) => one.missing.length > 0);
      return done.flatMap(pieces);
    },
    acknowledged() {
      const missing = missingFrom();
      const last = missing === undefined ? highest : missing - 1;
      // Before 1 there may be a 0, which must not be acknowledged unheard.
      return last === 0 && !hasZero ? undefined : last;
    },
    has: (sequence) =>
      highest !== undefined &&
      sequence <= highest &&
      !open.some(({ missing }) => missing.some(({ from, to }) => from <= sequence && sequence <= to)),
    missingFrom,
    highest: () => highest,
  };
}

function lesser(a: number | undefined, b: number | undefined): number | undefined {
  if (a === undefined || b === undefined) return a ?? b;
  return Math.min(a, b);
}

/** A gap that was filled in part, and lost in part, is told as that. */
function pieces({ gap, lost }: OpenGap): Gap[] {
  const filled = lost.reduce<Range[]>(without, [{ from: gap.from, to: gap.to }]);
  return [
    ...filled.map((range): Gap => ({ ...gap, ...range, state: "filled" })),
    ...lost.map((range): Gap => ({ ...gap, ...range, state: "lost" })),
  ].sort((a, b) => a.from - b.from);
}
