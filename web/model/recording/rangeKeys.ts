import { type Bounds, moved, type TimeRange, wholeRange, zoomed } from "./range.ts";

/** The range that a key leads to, `back` for the one before, `undefined` where the key means nothing here. */
export function rangeByKey(
  key: string,
  range: TimeRange,
  bounds: Bounds,
  aroundSeconds = (range.fromSeconds + range.toSeconds) / 2,
): TimeRange | "back" | undefined {
  switch (key) {
    case "+":
    case "=": // the plus key without Shift
      return zoomed(range, CLOSER, aroundSeconds, bounds);
    case "-":
    case "−":
      return zoomed(range, 1 / CLOSER, aroundSeconds, bounds);
    case "0":
      return wholeRange(bounds);
    case "Backspace":
      return "back";
    case "PageUp":
      return moved(range, -1, bounds);
    case "PageDown":
      return moved(range, 1, bounds);
    default:
      return undefined;
  }
}

/** How much shorter a range becomes with one step closer. */
export const CLOSER = 0.5;
