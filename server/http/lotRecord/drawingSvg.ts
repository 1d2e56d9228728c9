import { escaped } from "../page.ts";
import { type Drawing, LETTERS_PX, type Shape } from "./drawing.ts";

/** A figure as SVG in a page: no style, since none may stand there. @param says What it shows, for who cannot see it. */
export function drawingSvg({ widthPx, heightPx, shapes }: Drawing, says: string): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${widthPx} ${heightPx}" width="${widthPx}" height="${heightPx}" role="img" aria-label="${escaped(says)}" font-size="${LETTERS_PX}">${shapes.map(shapeSvg).join("")}</svg>`;
}

function shapeSvg(shape: Shape): string {
  if (shape.kind === "text") {
    const { x, y, anchor, bold, text } = shape;
    return `<text x="${x}" y="${y}" text-anchor="${anchor}"${bold ? ' font-weight="bold"' : ""}>${escaped(text)}</text>`;
  }
  const { d, filled, linePx, dashed } = shape;
  if (filled) return `<path d="${d}"/>`;
  return `<path d="${d}" fill="none" stroke="#000" stroke-width="${linePx}"${dashed ? ' stroke-dasharray="4 3"' : ""}/>`;
}
