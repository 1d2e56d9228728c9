import { drawnLine, type FrameLine, type LineDrawing, LOOK_WORDS } from "../frameLines.ts";
import type { FrameLook } from "../frames.ts";
import { linesHeading } from "../frameWords.ts";
import { timeTicks } from "../timeTicks.ts";
import { AXIS_PX, band, type Drawn, line, rectPath, timeAxis } from "./drawn.ts";
import type { Inks } from "./inks.ts";
import type { PictureView } from "./PictureView.ts";
import { group, px, type Shape } from "./shapes.ts";
import { textWidth, wrapped } from "./wrapped.ts";

const LINE_PX = 40;
const BLOCK_TOP_PX = 15;
const BLOCK_PX = 16;
const LOOKS: readonly FrameLook[] = ["solid", "hollow", "dotted"];

/** A line for each sensor; blocks are frames. One path for each look on a line, however many frames there are. */
export function linesBand(view: PictureView, gutterPx: number, plotPx: number, inks: Inks): Drawn {
  const { lines, range, chosen } = view;
  const bottom = lines.length * LINE_PX;
  const rows = lines.map((one, row) =>
    group(0, row * LINE_PX, [
      ...titleShapes(one, gutterPx, inks),
      group(gutterPx, 0, staveShapes(drawnLine(one, range, plotPx), plotPx, chosen?.id, inks)),
    ]),
  );
  const axis = group(gutterPx, 0, timeAxis(timeTicks(range, plotPx), plotPx, bottom, bottom, inks));
  const key = keyShapes(inks);
  const caption: Shape = {
    kind: "text",
    text: "Seconds from the first sample",
    x: gutterPx + plotPx,
    y: bottom + AXIS_PX + 18,
    anchor: "end",
    sizePx: 14,
    fill: inks.quiet,
  };
  const shapes = [axis, ...rows, group(0, bottom + AXIS_PX + 4, key), caption];
  const drawing = { shapes, heightPx: bottom + AXIS_PX + 26 };
  return band("frames", linesHeading(lines), drawing, gutterPx + plotPx, inks);
}

function titleShapes({ title, isIdentity, kind }: FrameLine, gutterPx: number, inks: Inks): Shape[] {
  const lettering = { sizePx: 14, fixed: isIdentity, fill: kind === "sensor" ? inks.ink : inks.quiet };
  const lines = wrapped(title, gutterPx - 10, lettering).slice(0, 3);
  const linePx = lines.length > 2 ? 13 : 16;
  const top = BLOCK_TOP_PX + BLOCK_PX / 2 - (lines.length * linePx) / 2;
  return lines.map((text, i) => ({ kind: "text", text, x: 0, y: top + (i + 0.78) * linePx, ...lettering }));
}

function staveShapes(
  { line: { kind }, blocks, brackets }: LineDrawing,
  plotPx: number,
  chosenId: string | undefined,
  inks: Inks,
): Shape[] {
  const middle = BLOCK_TOP_PX + BLOCK_PX / 2;
  const stave = { ...line(0, middle, plotPx, middle, inks.rule), ...(kind === "sensor" ? {} : { dashPx: [2, 5] }) };
  const held = brackets.map(({ x, width }) => `M${px(x)} 11V7H${px(x + width)}V11`).join("");
  const below = BLOCK_TOP_PX + BLOCK_PX + 2;
  const chosen = blocks.find((block) => block.frames.some(({ id }) => id === chosenId));
  return [
    stave,
    ...(held === "" ? [] : [{ kind: "path", d: held, stroke: inks.ink, strokePx: 1 } as const]),
    ...LOOKS.flatMap((look) => {
      const d = blocks
        .filter((block) => block.look === look)
        .map(({ x, width }) => rectPath(x + 0.75, BLOCK_TOP_PX, width - 1.5, BLOCK_PX));
      return d.length === 0 ? [] : [blockShape(look, d.join(""), inks)];
    }),
    ...(chosen
      ? [{ kind: "path", d: `M${px(chosen.x + chosen.width / 2)} ${below}l6 7h-12Z`, fill: inks.act } as const]
      : []),
  ];
}

function blockShape(look: FrameLook, d: string, { ink, ground }: Inks): Shape {
  return {
    kind: "path",
    d,
    fill: look === "solid" ? ink : ground,
    stroke: ink,
    strokePx: 1.5,
    dashPx: look === "dotted" ? [2, 3] : undefined,
  };
}

/** What the looks of the blocks mean, side by side. */
function keyShapes(inks: Inks): Shape[] {
  let x = 0;
  const lettering = { sizePx: 14, fill: inks.quiet };
  const words = [...LOOKS.map((look) => ({ look, says: LOOK_WORDS[look] })), { says: "copies of one telegram" }];
  return words.flatMap((one): Shape[] => {
    const at = x;
    x += 32 + textWidth(one.says, lettering) + 16;
    const sign: Shape =
      "look" in one
        ? blockShape(one.look, rectPath(at + 1, 4, 22, 14), inks)
        : { kind: "path", d: `M${at + 1} 14V7H${at + 23}V14`, stroke: inks.ink, strokePx: 1 };
    return [sign, { kind: "text", text: one.says, x: at + 30, y: 16, ...lettering }];
  });
}
