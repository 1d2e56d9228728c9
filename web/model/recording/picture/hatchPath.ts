import { px } from "./shapes.ts";

const APART_PX = 8.5;

/** A box filled with lines that rise to the right, each cut where the box ends. */
export function hatchPath(box: {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}): string {
  const { x, y, width, height } = box;
  const parts: string[] = [];
  // A line is known by where it meets the box's bottom, produced to both sides.
  for (let foot = APART_PX / 2 - height; foot < width; foot += APART_PX) {
    const from = Math.max(0, foot);
    const to = Math.min(width, foot + height);
    if (to <= from) continue;
    parts.push(`M${px(x + from)} ${px(y + height - (from - foot))}L${px(x + to)} ${px(y + height - (to - foot))}`);
  }
  return parts.join("");
}
