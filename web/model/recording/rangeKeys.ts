import { actionOfKey, DEFAULT_KEY_MAP, type KeyMap, type KeyPress } from "../keyMap.ts";
import { type Bounds, moved, type TimeRange, wholeRange, zoomed } from "./range.ts";

/**
 * The range that a key leads to, `back` for the one before, `undefined` where the key means nothing here.
 *
 * @param press A key by its name, or an event with what was held.
 * @param map Which keys do what on this device.
 */
export function rangeByKey(
  press: string | KeyPress,
  range: TimeRange,
  bounds: Bounds,
  aroundSeconds = (range.fromSeconds + range.toSeconds) / 2,
  map: KeyMap = DEFAULT_KEY_MAP,
): TimeRange | "back" | undefined {
  const asked = typeof press === "string" ? { key: press } : press;
  // What is shown changes by the same keys in every band.
  return rangeByAction(actionOfKey(map, asked, "signal"), range, bounds, aroundSeconds);
}

/** The range that an action leads to; `undefined` for one that is about something else. */
export function rangeByAction(
  action: string | undefined,
  range: TimeRange,
  bounds: Bounds,
  aroundSeconds = (range.fromSeconds + range.toSeconds) / 2,
): TimeRange | "back" | undefined {
  switch (action) {
    case "range.closer":
      return zoomed(range, CLOSER, aroundSeconds, bounds);
    case "range.wider":
      return zoomed(range, 1 / CLOSER, aroundSeconds, bounds);
    case "range.whole":
      return wholeRange(bounds);
    case "range.back":
      return "back";
    case "range.left":
      return moved(range, -STEP, bounds);
    case "range.right":
      return moved(range, STEP, bounds);
    default:
      return undefined;
  }
}

/** How much shorter a range becomes with one step closer. */
export const CLOSER = 0.5;

/** How far one step earlier or later goes, as a share of what is shown: what was at one end is then in the middle. */
export const STEP = 0.5;
