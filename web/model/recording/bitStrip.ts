import { bitsPerRow, type RulerPart, rulerRows, type Stretch } from "../fieldRuler.ts";
import { doubtPx } from "./symbolLane.ts";

/** What is written below a stretch: two lines. */
export interface StretchWords {
  /** Name and value. */
  readonly upper: string;
  /** Raw value and bits. */
  readonly lower: string;
}

/** A label that hangs on a leader below the middle of its stretch, and begins at the leader. */
export interface RulerLabel {
  readonly stretch: Stretch;
  readonly words: StretchWords;
  /** Of the leader, in pixels from the left end of the row. */
  readonly x: number;
  readonly width: number;
  /** Counted downwards from 0; the leader passes all those above. */
  readonly lane: number;
}

export interface PlacedPart {
  readonly part: RulerPart;
  readonly x: number;
  readonly width: number;
}

export interface StripRow {
  readonly firstBit: number;
  readonly bitCount: number;
  /** The ribbon, as an SVG path of one stroke a byte: `highY` for a one, `lowY` for a zero. */
  readonly ribbon: string;
  readonly parts: readonly PlacedPart[];
  readonly labels: readonly RulerLabel[];
  /** How many lanes the labels take. */
  readonly laneCount: number;
}

export interface BitStrip {
  readonly rows: readonly StripRow[];
  readonly bitPx: number;
  /** Left edge of a bit in its row. */
  readonly x: (bitInRow: number) => number;
}

export const RIBBON = { highY: 4, lowY: 24 } as const;

const LEAST_BIT_PX = 12;
const MOST_BIT_PX = 22;
const BYTE_GAP_PX = 6;
const PX_PER_LETTER = 7.6;
const LABEL_GAP_PX = 10;
/** Labels reach over the right end of the bits by this much at most. */
const MOST_SPARE_PX = 170;
/** Below this the labels are numbers only, and the words stand in a list. */
export const NARROW_PX = 560;

/**
 * A frame as a two-level ribbon in rows of whole bytes, with its fields below.
 *
 * Labels never overlap each other nor a leader, and every stretch that has words is labelled once, where it begins.
 *
 * @param bits One each, 0 or 1.
 * @param stretches All of the frame in order, without a gap; none for bits that no layout explains.
 * @param wordsOf What to write below a stretch; `undefined` for nothing.
 */
export function bitStrip(
  bits: Uint8Array,
  stretches: readonly Stretch[],
  wordsOf: (stretch: Stretch) => StretchWords | undefined,
  widthPx: number,
): BitStrip {
  const labelled = stretches.some((stretch) => wordsOf(stretch) !== undefined);
  const narrow = widthPx < NARROW_PX;
  const spare = !labelled ? 0 : narrow ? 16 : Math.min(MOST_SPARE_PX, widthPx / 4);
  const roomPx = Math.max(8 * LEAST_BIT_PX, widthPx - spare);
  const all = stretches.length > 0 ? stretches : [bare(bits.length)];
  // A frame that was cut off is as long as its layout all the same.
  const bitCount = all.reduce((end, stretch) => Math.max(end, stretch.at + stretch.bits), 0);
  const perRow = bitsPerRow(bitCount, roomPx + BYTE_GAP_PX, LEAST_BIT_PX + BYTE_GAP_PX / 8);
  const bitPx = Math.min(MOST_BIT_PX, (roomPx - (perRow / 8 - 1) * BYTE_GAP_PX) / perRow);
  const x = (bit: number) => bit * bitPx + Math.floor(bit / 8) * BYTE_GAP_PX;
  const right = (bit: number) => (bit === 0 ? 0 : x(bit - 1) + bitPx);
  const rows = rulerRows(all, perRow).map((row) => {
    const parts = row.parts.map((part) => ({
      part,
      x: x(part.from),
      width: right(part.from + part.count) - x(part.from),
    }));
    const labels = placed(parts, wordsOf, narrow, widthPx);
    return {
      firstBit: row.firstBit,
      bitCount: row.bitCount,
      ribbon: ribbonPath(bits, row.firstBit, row.bitCount, x, bitPx),
      parts,
      labels,
      laneCount: labels.reduce((most, { lane }) => Math.max(most, lane + 1), 0),
    };
  });
  return { rows, bitPx, x };
}

/** Uprights below the bits of a row that may be wrong, as an SVG path: the longer the less sure. */
export function bitDoubts(
  confidences: readonly number[],
  { firstBit, bitCount }: Pick<StripRow, "firstBit" | "bitCount">,
  { bitPx, x }: Pick<BitStrip, "bitPx" | "x">,
  topPx: number,
): string {
  const path: string[] = [];
  for (let bit = 0; bit < bitCount; bit++) {
    const long = doubtPx(confidences[firstBit + bit]);
    if (long > 0) path.push(`M${px(x(bit) + bitPx / 2)} ${topPx}v${px(long)}`);
  }
  return path.join("");
}

/** Bits in groups of four, as people compare them: `1000 0101`. */
export function bitsText(bits: Uint8Array, at: number, count: number): string {
  return (
    bits
      .subarray(at, at + count)
      .join("")
      .match(/.{1,4}/g) ?? []
  ).join(" ");
}

function bare(count: number): Stretch {
  return { kind: "unassigned", key: "·", name: "symbols", at: 0, bits: count };
}

/**
 * From the right to the left, each label one lane below all those that it would touch. A leader then passes only lanes
 * in which nothing stands at its place, since labels begin at their own leader.
 */
function placed(
  parts: readonly PlacedPart[],
  wordsOf: (stretch: Stretch) => StretchWords | undefined,
  narrow: boolean,
  widthPx: number,
): RulerLabel[] {
  const labels: RulerLabel[] = [];
  for (const { part, x, width } of parts.toReversed()) {
    const words = part.opens ? wordsOf(part.stretch) : undefined;
    if (words === undefined) continue;
    const at = x + width / 2;
    const shown = narrow ? { upper: part.stretch.key, lower: "" } : cut(words, widthPx - at);
    const wide = Math.max(shown.upper.length, shown.lower.length) * PX_PER_LETTER;
    const touched = labels.filter((other) => other.x < at + wide + LABEL_GAP_PX);
    const lane = touched.reduce((deepest, other) => Math.max(deepest, other.lane + 1), 0);
    labels.push({ stretch: part.stretch, words: shown, x: at, width: wide, lane });
  }
  return labels.reverse();
}

/** So much of the words as fits into a width; the table has all of them. */
function cut({ upper, lower }: StretchWords, roomPx: number): StretchWords {
  const most = Math.max(3, Math.floor(roomPx / PX_PER_LETTER));
  const short = (text: string) => (text.length <= most ? text : `${text.slice(0, most - 1).trimEnd()}…`);
  return { upper: short(upper), lower: short(lower) };
}

function ribbonPath(
  bits: Uint8Array,
  firstBit: number,
  bitCount: number,
  x: (bit: number) => number,
  bitPx: number,
): string {
  const parts: string[] = [];
  for (let bit = 0; bit < bitCount; bit++) {
    const value = bits[firstBit + bit];
    // A frame that was cut off ends before its layout does.
    if (value === undefined) break;
    const y = value === 1 ? RIBBON.highY : RIBBON.lowY;
    parts.push(bit % 8 === 0 ? `M${px(x(bit))} ${y}` : `V${y}`, `H${px(x(bit) + bitPx)}`);
  }
  return parts.join("");
}

function px(value: number): string {
  return String(Number(value.toFixed(2)));
}
