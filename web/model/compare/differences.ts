import type { Layout } from "../../../decoders/layouts/schema.ts";
import { stretchesOf } from "../fieldRuler.ts";
import { bitsWords } from "../layoutWords.ts";
import { counted } from "../quantities.ts";
import type { FrameBits } from "../recording/frameBits.ts";
import { type FrameStretch, frameStretches } from "../recording/frameStretches.ts";
import type { Settings } from "../settings.ts";

type Units = Pick<Settings, "pressure" | "temperature">;
type Explained = Extract<FrameBits, { source: "telegram" | "read again" }>;

/** A stretch of a layout in which two frames are not the same. */
export interface Difference {
  readonly at: number;
  readonly count: number;
  readonly name: string;
  /** The bits that differ, ascending, counted from the frame's first. */
  readonly differing: readonly number[];
  /** Bits of the layout that one of the two does not have: it was cut off. */
  readonly missing: number;
  /** In a sentence. */
  readonly says: string;
}

/** Two frames held against each other; `shift` symbols of the first lie before the other's first. */
export type FrameDifferences =
  | {
      readonly kind: "bits";
      readonly layout: Layout;
      readonly differing: readonly number[];
      readonly list: readonly Difference[];
    }
  | {
      readonly kind: "symbols";
      readonly shift: number;
      /** Symbols of the first that the second has too. */
      readonly compared: number;
      readonly differing: readonly number[];
      readonly list: readonly Difference[];
    }
  | { readonly kind: "none"; readonly because: string };

/** What differs between two frames: bit by bit after one layout, symbol by symbol where there is none, else why not. */
export function differencesOf(first: FrameBits, second: FrameBits, units: Units): FrameDifferences {
  if (isExplained(first) && isExplained(second)) {
    if (first.layout.id === second.layout.id && first.layout.bits === second.layout.bits) {
      return bitDifferences(first, second, units);
    }
    return { kind: "none", because: otherLayout(first.layout, second.layout) };
  }
  if (first.source === "nothing" || second.source === "nothing") {
    return { kind: "none", because: "One of the two could not be cut into symbols, so there are no bits to compare." };
  }
  if (first.source === "symbols" && second.source === "symbols") return symbolDifferences(first.bits, second.bits);
  if (first.source === "bare telegram" && second.source === "bare telegram" && first.layoutId === second.layoutId) {
    return bareDifferences(first.bits, second.bits);
  }
  return {
    kind: "none",
    because:
      "Of one there are bits that a layout made, of the other only symbols as they were cut: a bit is made of several symbols, so the two cannot be held against each other.",
  };
}

/** Ranges of ascending numbers: `41, 43–45`. */
export function runsText(numbers: readonly number[]): string {
  const runs: { from: number; to: number }[] = [];
  for (const number of numbers) {
    const last = runs.at(-1);
    if (last && number === last.to + 1) last.to = number;
    else runs.push({ from: number, to: number });
  }
  return runs.map(({ from, to }) => (from === to ? String(from) : `${from}–${to}`)).join(", ");
}

/** What differs, in one sentence for a heading and for those who hear the page. */
export function differenceHeading(found: FrameDifferences, letter: string): string {
  switch (found.kind) {
    case "none":
      return `${letter} cannot be held against A bit by bit`;
    case "symbols":
      return found.differing.length === 0
        ? `${letter} has the same ${found.compared} symbols as A`
        : `${found.differing.length} of ${found.compared} symbols of ${letter} differ from A`;
    case "bits": {
      const missing = found.list.reduce((sum, one) => sum + one.missing, 0);
      const cut = missing === 0 ? "" : `, and ${counted(missing, "bit")} cut off in one of the two`;
      if (found.differing.length === 0) return `${letter} has the same bits as A${cut}`;
      const names = found.list.filter((one) => one.differing.length > 0).map(({ name }) => name);
      return `${counted(found.differing.length, "bit")} of ${letter} differ from A, in ${names.join(", ")}${cut}`;
    }
  }
}

function isExplained(bits: FrameBits): bits is Explained {
  return bits.source === "telegram" || bits.source === "read again";
}

function otherLayout(a: Layout, b: Layout): string {
  return `A was read as ${a.id} with ${a.bits} bits, this one as ${b.id} with ${b.bits}: the same bit stands for something else in each, so only their values are held against each other, in the table of measures.`;
}

function bitDifferences(first: Explained, second: Explained, units: Units): FrameDifferences {
  const { layout } = first;
  const both = Math.min(first.bits.length, second.bits.length);
  const differing = differingAt(first.bits, second.bits, both);
  const [a, b] = [byPlace(frameStretches(first, units)), byPlace(frameStretches(second, units))];
  const list = stretchesOf(layout).flatMap((stretch): Difference[] => {
    const end = stretch.at + stretch.bits;
    const inside = differing.filter((bit) => bit >= stretch.at && bit < end);
    const missing = Math.max(
      0,
      Math.min(end, Math.max(first.bits.length, second.bits.length)) - Math.max(stretch.at, both),
    );
    if (inside.length === 0 && missing === 0) return [];
    const name = stretch.kind === "unassigned" ? "bits that nothing names" : stretch.name;
    const values =
      stretch.kind === "unassigned" ? "" : `: ${name} ${against(a.get(stretch.at), b.get(stretch.at), stretch.kind)}`;
    const where =
      inside.length === 0
        ? ""
        : `${inside.length === 1 ? "bit" : "bits"} ${runsText(inside)} ${inside.length === 1 ? "differs" : "differ"}`;
    const cut =
      missing === 0
        ? ""
        : `${counted(missing, "bit")} of ${bitsWords(stretch.at, stretch.bits)} cut off in one of the two`;
    const said = [where, cut].filter((text) => text !== "").join(", ");
    return [
      {
        at: stretch.at,
        count: stretch.bits,
        name,
        differing: inside,
        missing,
        says: `${said.charAt(0).toUpperCase()}${said.slice(1)}${values === "" ? `: ${name}` : values}.`,
      },
    ];
  });
  return { kind: "bits", layout, differing, list };
}

function against(a: FrameStretch | undefined, b: FrameStretch | undefined, kind: "field" | "check"): string {
  // A check's value says whether it agrees; what was sent is its raw value.
  const shown = (one: FrameStretch | undefined) => {
    if (!one) return "not told";
    return kind === "check" ? `${one.raw === "" ? "not there" : one.raw} (${one.value})` : one.value;
  };
  const [first, second] = [shown(a), shown(b)];
  // Two raw values may be shown alike, such as two pressures in bar.
  return first === second && kind === "field"
    ? `${first} each, raw ${a?.raw} against ${b?.raw}`
    : `${second} against ${first}`;
}

function byPlace(stretches: readonly FrameStretch[]): ReadonlyMap<number, FrameStretch> {
  return new Map(stretches.map((one) => [one.stretch.at, one]));
}

function bareDifferences(a: Uint8Array, b: Uint8Array): FrameDifferences {
  const both = Math.min(a.length, b.length);
  return { kind: "symbols", shift: 0, compared: both, ...asRuns(differingAt(a, b, both), "bit") };
}

/** Symbols are cut from a burst's first edge on, which noise moves by a few: the shift that fits best is taken. */
const MOST_SHIFT = 16;

function symbolDifferences(a: Uint8Array, b: Uint8Array): FrameDifferences {
  let best: { shift: number; differing: number[]; compared: number } | undefined;
  for (let shift = -MOST_SHIFT; shift <= MOST_SHIFT; shift++) {
    const from = Math.max(0, shift);
    const to = Math.min(a.length, b.length + shift);
    if (to - from < Math.min(a.length, b.length) / 2) continue;
    const differing: number[] = [];
    for (let i = from; i < to; i++) if (a[i] !== b[i - shift]) differing.push(i);
    const share = differing.length / (to - from);
    const bestShare = best ? best.differing.length / best.compared : Number.POSITIVE_INFINITY;
    const nearer = best !== undefined && share === bestShare && Math.abs(shift) < Math.abs(best.shift);
    if (share < bestShare || nearer) best = { shift, differing, compared: to - from };
  }
  if (!best) return { kind: "none", because: "One of the two has no symbols." };
  return { kind: "symbols", shift: best.shift, compared: best.compared, ...asRuns(best.differing, "symbol") };
}

/** Runs of what differs, as a list. */
function asRuns(
  differing: readonly number[],
  thing: string,
): Pick<Extract<FrameDifferences, { kind: "symbols" }>, "differing" | "list"> {
  const text = runsText(differing);
  const list = (text === "" ? [] : text.split(", ")).map((run): Difference => {
    const [from = 0, to = from] = run.split("–").map(Number);
    const numbers = Array.from({ length: to - from + 1 }, (_, i) => from + i);
    const many = numbers.length > 1;
    return {
      at: from,
      count: numbers.length,
      name: `${thing}s`,
      differing: numbers,
      missing: 0,
      says: `${many ? `${thing.charAt(0).toUpperCase()}${thing.slice(1)}s` : `${thing.charAt(0).toUpperCase()}${thing.slice(1)}`} ${run} ${many ? "differ" : "differs"}.`,
    };
  });
  return { differing, list };
}

function differingAt(a: Uint8Array, b: Uint8Array, count: number): number[] {
  const at: number[] = [];
  for (let i = 0; i < count; i++) if (a[i] !== b[i]) at.push(i);
  return at;
}
