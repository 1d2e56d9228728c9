import type { Check } from "../layouts/schema.ts";
import { FEW_AGREE, LEAST_EVIDENCE, log2Choose, MOST_AGREE } from "./crcSearch.ts";
import { rankOf } from "./gf2.ts";
import { differences, type Rows } from "./rows.ts";

type WordCheck = Extract<Check, { kind: "sum" | "xor" | "parity" }>;

/** A sum, an exclusive-or or a parity that explains the frames. */
export interface WordFinding {
  readonly check: WordCheck;
  readonly earliestStart: number;
  readonly latestStart: number;
  readonly agreeing: number;
  readonly rank: number;
  readonly evidenceBits: number;
}

const WIDTHS = [4, 8, 12, 16, 24, 32];
/** Of the surest frames in doubt: so many that it is no accident with this width. */
const SUREST = 12;
const FEW_BITS = 6;

function fewOf(width: number): number {
  let count = 3;
  while (count < SUREST && (count - 1) * width < log2Choose(SUREST, count) + FEW_BITS) count++;
  return count;
}

type Kind = "sum" | "complement" | "xor";

/** What a frame's value and words leave: the same for all frames where the check is right. */
const LEAVES: Readonly<Record<Kind, (value: number, words: number) => number>> = {
  sum: (value, words) => value - words,
  // The ones' complement of a sum and the sum itself make all ones.
  complement: (value, words) => value + words,
  xor: (value, words) => value ^ words,
};

/**
 * Sums, their complements and exclusive-ors of words of 4 to 32 bits at any place, over any range that ends at the value
 * or goes on behind it; the best first.
 *
 * @param free Bits in which the value may lie, 1 each.
 */
export function findWordChecks(rows: Rows, free: Uint8Array, trials: { count: number }): readonly WordFinding[] {
  const { frames, length, moves, areDoubtful } = rows;
  if (frames.length < 3) return [];
  const few = areDoubtful ? frames.slice(0, SUREST) : frames.filter((_, i) => i % Math.ceil(frames.length / 6) === 0);
  const found: WordFinding[] = [];
  const last = moves.lastIndexOf(1) + 1;
  for (const width of WIDTHS) {
    const least = areDoubtful ? fewOf(width) : MOST_AGREE * few.length;
    for (let at = 0; at + width <= length; at++) {
      if (!moves.subarray(at, at + width).includes(1) || free.subarray(at, at + width).includes(0)) continue;
      for (let start = at % width; start <= at; start += width) {
        if (start < at && !moves.subarray(start, start + width).includes(1)) continue;
        for (const end of endsOf(at + width, last, length, width)) {
          const covers = coversOf(start, at, width, end);
          if (covers.length === 0) continue;
          // A lowest bit that never moves follows from words whose lowest bits do not.
          if (moves[at + width - 1] === 0 && isAnyLowest(moves, covers, width)) continue;
          for (const kind of ["sum", "complement", "xor"] as const) {
            trials.count++;
            const leaves = (frame: Uint8Array) => left(frame, covers, at, width, kind);
            if (mostAlike(few, leaves).length < least) continue;
            const finding = confirmed(rows, covers, at, width, kind, trials.count);
            if (finding) found.push(finding);
          }
        }
      }
    }
  }
  const covered = ({ check }: WordFinding) => check.covers.reduce((sum, [, count]) => sum + count, 0);
  return found.sort((a, b) => b.evidenceBits - a.evidenceBits || covered(b) - covered(a));
}

type Covers = [number, number][];

/** Where the covered range ends: with the value, or where the last words that move end. */
function endsOf(behind: number, last: number, length: number, width: number): readonly number[] {
  const end = behind + Math.ceil((last - behind) / width) * width;
  return end > behind && end <= length ? [behind, end] : [behind];
}

function coversOf(start: number, at: number, width: number, end: number): Covers {
  const covers: Covers = [];
  if (at > start) covers.push([start, at - start]);
  if (end > at + width) covers.push([at + width, end - at - width]);
  return covers;
}

function isAnyLowest(moves: Uint8Array, covers: Covers, width: number): boolean {
  return covers.some(([first, count]) => {
    for (let last = first + width - 1; last < first + count; last += width) if (moves[last] === 1) return true;
    return false;
  });
}

function wordAt(frame: Uint8Array, at: number, width: number): number {
  let word = 0;
  for (let i = 0; i < width; i++) word = (word << 1) | frame[at + i]!;
  return word;
}

function left(frame: Uint8Array, covers: Covers, at: number, width: number, kind: Kind): number {
  let words = 0;
  for (const [first, count] of covers) {
    for (let i = 0; i < count; i += width) {
      const word = wordAt(frame, first + i, width);
      words = kind === "xor" ? words ^ word : (words + word) | 0;
    }
  }
  const over = LEAVES[kind](wordAt(frame, at, width), words);
  return (width === 32 ? over : over & (2 ** width - 1)) >>> 0;
}

/** The frames that leave the same, of what most leave. */
function mostAlike(frames: readonly Uint8Array[], leaves: (frame: Uint8Array) => number): readonly Uint8Array[] {
  const groups = new Map<number, Uint8Array[]>();
  for (const frame of frames) {
    const key = leaves(frame);
    const group = groups.get(key);
    if (group) group.push(frame);
    else groups.set(key, [frame]);
  }
  return [...groups.values()].reduce((most, group) => (group.length > most.length ? group : most));
}

function confirmed(
  { frames, moves, areDoubtful }: Rows,
  covers: Covers,
  at: number,
  width: number,
  kind: Kind,
  trialCount: number,
): WordFinding | undefined {
  const agreeing = mostAlike(frames, (frame) => left(frame, covers, at, width, kind));
  if (agreeing.length < (areDoubtful ? FEW_AGREE : MOST_AGREE) * frames.length || agreeing.length < 3) return undefined;
  const bits = [...covers, [at, width] as const].flatMap(([first, count]) =>
    Array.from({ length: count }, (_, i) => first + i),
  );
  const rank = rankOf(differences(agreeing, Int32Array.from(bits)));
  // A bit of the value that is always the same tells nothing by that.
  const telling = moves.subarray(at, at + width).reduce((sum, one) => sum + one, 0);
  const evidenceBits = telling * rank - Math.log2(trialCount) - log2Choose(frames.length, agreeing.length);
  if (evidenceBits < LEAST_EVIDENCE) return undefined;
  const [[start]] = covers as [[number, number]];
  let earliest = start;
  while (start < at && earliest - width >= 0 && !moves.subarray(earliest - width, earliest).includes(1))
    earliest -= width;
  return {
    check: checkOf(kind, width, covers, at, agreeing[0]!),
    earliestStart: earliest,
    latestStart: start,
    agreeing: agreeing.length,
    rank,
    evidenceBits,
  };
}

function checkOf(kind: Kind, width: number, covers: Covers, at: number, frame: Uint8Array): WordCheck {
  const over = left(frame, covers, at, width, kind);
  const mask = width === 32 ? 0xffffffff : 2 ** width - 1;
  const hex = (value: number) => `0x${(value >>> 0).toString(16).padStart(Math.ceil(width / 4), "0")}`;
  if (kind === "xor") return { kind: "xor", width, init: hex(over), covers, at };
  if (kind === "sum") return { kind: "sum", width, init: hex(over), covers, at };
  // value + words = over, and value = ~(init + words) = -1 - init - words.
  return { kind: "sum", width, complement: true, init: hex((-1 - over) & mask), covers, at };
}

/**
 * Parities of one bit: over all that lies before it, or over the rest of the frame. One bit tells little, so only these few
 * places are tried.
 */
export function findParities(
  { frames, length, moves }: Rows,
  free: Uint8Array,
  trials: { count: number },
): readonly WordFinding[] {
  const found: WordFinding[] = [];
  const last = moves.lastIndexOf(1) + 1;
  for (let at = 1; at < length; at++) {
    if (moves[at] === 0 || free[at] === 0) continue;
    const ranges: Covers[] = [[[0, at]]];
    if (at + 1 < last)
      ranges.push([
        [0, at],
        [at + 1, last - at - 1],
      ]);
    for (const covers of ranges) {
      trials.count++;
      const bits = [...covers, [at, 1] as const].flatMap(([first, count]) =>
        Array.from({ length: count }, (_, i) => first + i),
      );
      const ones = (frame: Uint8Array) => bits.reduce((sum, bit) => sum + frame[bit]!, 0) % 2;
      const agreeing = mostAlike(frames, ones);
      if (agreeing.length < 0.95 * frames.length) continue;
      const rank = rankOf(differences(agreeing, Int32Array.from(bits)));
      const evidenceBits = rank - Math.log2(trials.count) - log2Choose(frames.length, agreeing.length);
      if (evidenceBits < LEAST_EVIDENCE) continue;
      const check: WordCheck = { kind: "parity", parity: ones(agreeing[0]!) === 1 ? "odd" : "even", covers, at };
      found.push({ check, earliestStart: 0, latestStart: 0, agreeing: agreeing.length, rank, evidenceBits });
    }
  }
  return found.sort((a, b) => b.evidenceBits - a.evidenceBits);
}
