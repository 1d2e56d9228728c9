import type { SignalBody } from "../../../../server/http/wire.ts";
import type { TimeRange } from "../range.ts";
import { type LevelAxis, levelStrokes } from "../signalDrawing.ts";
import { px } from "./shapes.ts";

/**
 * The envelope as one path: along the top of its columns to the right, and along their bottom back. What a finer signal
 * knows is taken from it, the rest from the coarser one.
 *
 * @param signals From coarse to fine.
 */
export function envelopePath(
  signals: readonly SignalBody[],
  range: TimeRange,
  axis: LevelAxis,
  size: { readonly widthPx: number; readonly heightPx: number },
): string {
  const columns = new Map<number, { top: number; bottom: number }>();
  for (const signal of signals) {
    const strokes = levelStrokes(signal, range, axis, size);
    const own = new Set<number>();
    for (let i = 0; i < strokes.length; i += 4) {
      const [x = 0, width = 0, top = 0, bottom = 0] = strokes.subarray(i, i + 4);
      const first = Math.max(0, Math.floor(x + 1e-3));
      const end = Math.min(size.widthPx, Math.max(first + 1, Math.ceil(x + width - 1e-3)));
      for (let column = first; column < end; column++) {
        const before = own.has(column) ? columns.get(column) : undefined;
        own.add(column);
        columns.set(column, {
          top: Math.min(top, before?.top ?? top),
          bottom: Math.max(bottom, before?.bottom ?? bottom),
        });
      }
    }
  }
  return outline(columns);
}

/** Around columns one pixel wide; where some are missing it begins anew. */
function outline(columns: ReadonlyMap<number, { readonly top: number; readonly bottom: number }>): string {
  const order = [...columns.keys()].toSorted((a, b) => a - b);
  const parts: string[] = [];
  for (let i = 0; i < order.length; ) {
    let end = i + 1;
    while (end < order.length && order[end] === order[end - 1]! + 1) end++;
    const run = order.slice(i, end);
    const there = run.map((x) => `V${px(columns.get(x)!.top)}H${x + 1}`);
    const back = run.toReversed().map((x) => `V${px(columns.get(x)!.bottom)}H${x}`);
    parts.push(`M${run[0]} ${px(columns.get(run[0]!)!.top)}${there.join("")}${back.join("")}Z`);
    i = end;
  }
  return parts.join("");
}
