import { sentence } from "../../../../decoders/words.ts";
import { type BitStrip, bitStrip, type PlacedPart, RIBBON, type StripRow } from "../bitStrip.ts";
import { bitsHeading, bitsNotes } from "../bitsWords.ts";
import type { FrameBits } from "../frameBits.ts";
import { type FrameStretch, frameStretches, labelOf } from "../frameStretches.ts";
import type { Frame } from "../frames.ts";
import { airWordsOf } from "../frameWords.ts";
import { band, type Drawn, paragraph, rectPath, stacked } from "./drawn.ts";
import { hatchPath } from "./hatchPath.ts";
import type { Inks } from "./inks.ts";
import type { PictureView } from "./PictureView.ts";
import { group, px, type Shape } from "./shapes.ts";
import { textWidth } from "./wrapped.ts";

/** From the top of a row, as on the page: bit numbers, ribbon, digits, braces, lanes of the labels. */
const NUMBERS_PX = 16;
const DIGITS_PX = RIBBON.lowY + 15;
const BRACE_PX = DIGITS_PX + 6;
const LANES_PX = BRACE_PX + 14;
const LANE_PX = 38;
const ROW_GAP_PX = 14;

/** The chosen frame bit by bit, with its fields below. */
export function bitsBand(
  frame: Frame,
  found: FrameBits,
  units: PictureView["units"],
  widthPx: number,
  inks: Inks,
): Drawn {
  const parts: Drawn[] = [
    paragraph(sentence(airWordsOf(frame)), widthPx, 20, { sizePx: 14, fill: inks.quiet }),
    ...bitsNotes(found).map((note) => noteShapes(note, widthPx, inks)),
  ];
  if (found.source !== "nothing") {
    const stretches = "fields" in found ? frameStretches(found, units) : [];
    parts.push(ribbonRows(found, stretches, widthPx, inks));
  }
  return band("bits", bitsHeading(frame, found), stacked(parts, 8), widthPx, inks);
}

/** Something to look at, told by a wedge and its ground. */
function noteShapes(words: string, widthPx: number, inks: Inks): Drawn {
  const text = paragraph(words, widthPx - 40, 19, { sizePx: 14, fill: inks.onLook });
  const ground = rectPath(0.5, 0.5, Math.min(widthPx - 1, 40 + textWidth(words, { sizePx: 14 })), text.heightPx + 6);
  return {
    shapes: [
      { kind: "path", d: ground, fill: inks.look, stroke: inks.onLook, strokePx: 1 },
      { kind: "path", d: "M14 7l6 11h-12Z", fill: inks.onLook },
      group(28, 4, text.shapes),
    ],
    heightPx: text.heightPx + 8,
  };
}

type Shown = Exclude<FrameBits, { source: "nothing" }>;

function ribbonRows(found: Shown, stretches: readonly FrameStretch[], widthPx: number, inks: Inks): Drawn {
  const { bits } = found;
  const byAt = new Map(stretches.map((one) => [one.stretch.at, one]));
  const wordsOf = ({ at }: { readonly at: number }) => {
    const one = byAt.get(at);
    return one && labelOf(one);
  };
  const strip = bitStrip(
    bits,
    stretches.map(({ stretch }) => stretch),
    wordsOf,
    widthPx,
  );
  const brokenAt = found.source === "read again" ? found.brokenAt : [];
  const rows = strip.rows.map((row): Drawn => {
    const heightPx = NUMBERS_PX + (row.laneCount > 0 ? LANES_PX + row.laneCount * LANE_PX : DIGITS_PX) + ROW_GAP_PX;
    return { shapes: rowShapes(row, strip, bits, byAt, brokenAt, inks), heightPx };
  });
  return stacked(rows, 0);
}

function rowShapes(
  row: StripRow,
  { x, bitPx }: BitStrip,
  bits: Uint8Array,
  byAt: ReadonlyMap<number, FrameStretch>,
  brokenAt: readonly number[],
  inks: Inks,
): Shape[] {
  const inRow = Array.from({ length: row.bitCount }, (_, bit) => bit);
  const there = inRow.filter((bit) => row.firstBit + bit < bits.length);
  const numbers = inRow
    .filter((bit) => bit % 8 === 0)
    .map(
      (bit): Shape => ({
        kind: "text",
        text: String(row.firstBit + bit),
        x: x(bit),
        y: 11,
        sizePx: 13,
        fill: inks.quiet,
      }),
    );
  const notches = brokenAt
    .filter((bit) => bit >= row.firstBit && bit < row.firstBit + row.bitCount)
    .map((bit) => `M${px(x(bit - row.firstBit) + bitPx / 2)} 2l-5 -7h10Z`);
  return [
    ...numbers,
    group(0, NUMBERS_PX, [
      ...row.parts.flatMap((placed) => partShapes(placed, byAt.get(placed.part.stretch.at), inks)),
      { kind: "path", d: row.ribbon, stroke: inks.ink, strokePx: 2 },
      {
        kind: "letters",
        text: there.map((bit) => bits[row.firstBit + bit]).join(""),
        xs: there.map((bit) => x(bit) + bitPx / 2),
        y: DIGITS_PX - 2,
        fixed: true,
        sizePx: 12,
        fill: inks.quiet,
      },
      ...(notches.length === 0
        ? []
        : [{ kind: "path", d: notches.join(""), fill: inks.look, stroke: inks.onLook, strokePx: 1 } as const]),
      ...row.labels.flatMap(({ stretch, words, x: at, width, lane }): Shape[] => {
        const top = LANES_PX + lane * LANE_PX;
        const isWrong = byAt.get(stretch.at)?.isWrong ?? false;
        return [
          { kind: "path", d: `M${px(at)} ${BRACE_PX + 5}V${top + 29}`, stroke: inks.rule, strokePx: 1 },
          ...(isWrong
            ? [
                {
                  kind: "path",
                  d: rectPath(at + 3, top, width + 8, 17),
                  fill: inks.look,
                  stroke: inks.onLook,
                  strokePx: 1,
                } as const,
              ]
            : []),
          {
            kind: "text",
            text: words.upper,
            x: at + 6,
            y: top + 13,
            bold: true,
            sizePx: 14,
            fill: isWrong ? inks.onLook : inks.ink,
          },
          { kind: "text", text: words.lower, x: at + 6, y: top + 29, sizePx: 13, fill: inks.quiet },
        ];
      }),
    ]),
  ];
}

function partShapes({ part, x, width }: PlacedPart, one: FrameStretch | undefined, inks: Inks): Shape[] {
  if (!one) return [];
  const [left, right] = [px(x + 1.5), px(x + width - 1.5)];
  const stroke = { stroke: inks.ink, strokePx: 1.5 };
  const box = { x, y: RIBBON.highY - 3, width, height: RIBBON.lowY - RIBBON.highY + 6 };
  const start = part.opens ? `M${left} ${BRACE_PX}v5` : `M${left} ${BRACE_PX + 5}`;
  return [
    ...(part.stretch.kind === "check"
      ? [{ kind: "path", d: hatchPath(box), stroke: inks.rule, strokePx: 1.5 } as const]
      : []),
    part.stretch.kind === "unassigned"
      ? { kind: "path", d: `M${left} ${BRACE_PX + 2}H${right}`, stroke: inks.rule, strokePx: 1.5, dashPx: [2, 4] }
      : { kind: "path", d: `${start}H${right}${part.closes ? "v-5" : ""}`, ...stroke },
    ...(one.isConstant ? [{ kind: "path", d: `M${left} ${BRACE_PX + 8}H${right}`, ...stroke } as const] : []),
  ];
}
