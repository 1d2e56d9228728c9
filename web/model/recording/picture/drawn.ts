import type { TimeTick } from "../timeTicks.ts";
import { type Inks, mixed } from "./inks.ts";
import { group, type Lettering, px, type Shape } from "./shapes.ts";
import { wrapped } from "./wrapped.ts";

/** A part of a picture, from its own upper left corner. */
export interface Drawn {
  readonly shapes: readonly Shape[];
  readonly heightPx: number;
}

/** Parts one below the other. */
export function stacked(parts: readonly Drawn[], gapPx: number): Drawn {
  let heightPx = 0;
  const shapes = parts.map((part, i) => {
    const y = i === 0 ? 0 : heightPx + gapPx;
    heightPx = y + part.heightPx;
    return group(0, y, part.shapes);
  });
  return { shapes, heightPx };
}

/** A text in lines as wide as there is room. */
export function paragraph(text: string, widthPx: number, linePx: number, lettering: Lettering): Drawn {
  const lines = wrapped(text, widthPx, lettering);
  return {
    shapes: lines.map((line, i) => ({
      kind: "text",
      text: line,
      x: 0,
      y: i * linePx + lettering.sizePx,
      ...lettering,
    })),
    heightPx: lines.length * linePx,
  };
}

/** A heavy line, the sentence of a band, and its drawing. */
export function band(name: string, heading: string, drawing: Drawn, widthPx: number, inks: Inks): Drawn {
  const head = paragraph(heading, widthPx, 21, { sizePx: 16, bold: true, fill: inks.ink });
  const top = 12 + head.heightPx + 8;
  return {
    shapes: [
      group(
        0,
        0,
        [line(0, 0, widthPx, 0, inks.ink, 2), group(0, 10, head.shapes), group(0, top, drawing.shapes)],
        name,
      ),
    ],
    heightPx: top + drawing.heightPx,
  };
}

export function line(x1: number, y1: number, x2: number, y2: number, stroke: string, strokePx = 1): Shape {
  return { kind: "path", d: `M${px(x1)} ${px(y1)}L${px(x2)} ${px(y2)}`, stroke, strokePx };
}

export function rectPath(x: number, y: number, width: number, height: number): string {
  return `M${px(x)} ${px(y)}h${px(width)}v${px(height)}h${px(-width)}Z`;
}

/** Room that the time axis takes below its line. */
export const AXIS_PX = 24;

/** The ruler that all drawings share. @param reachPx How far its ticks reach up as thin lines. */
export function timeAxis(ticks: readonly TimeTick[], widthPx: number, y: number, reachPx: number, inks: Inks): Shape[] {
  const grid = ticks.map(({ x }) => `M${px(x)} ${px(y - reachPx)}V${px(y)}`).join("");
  return [
    ...(reachPx > 0 ? [{ kind: "path", d: grid, stroke: gridInk(inks), strokePx: 1 } as const] : []),
    { kind: "path", d: ticks.map(({ x }) => `M${px(x)} ${y}v5`).join(""), stroke: inks.rule, strokePx: 1 },
    line(0, y, widthPx, y, inks.rule),
    ...ticks
      .filter(({ label }) => label !== "")
      .map(({ x, label }): Shape => ({ kind: "text", text: label, x, y: y + 19, anchor: "middle", ...figures(inks) })),
  ];
}

export function gridInk({ rule, ground }: Inks): string {
  return mixed(rule, ground, 0.45);
}

/** How axes are lettered. */
export function figures({ quiet }: Inks): Lettering {
  return { sizePx: 13, fill: quiet };
}
