import type { RefObject } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { type Bounds, fitted, type TimeRange, zoomed } from "../../model/recording/range.ts";

interface Gestures {
  readonly range: TimeRange;
  readonly bounds: Bounds;
  /** Where the range is drawn, in pixels from the element's left edge. */
  readonly leftPx: number;
  readonly widthPx: number;
  readonly onRange: (range: TimeRange) => void;
  /** A press that moved nothing, in pixels from the element's upper left corner. */
  readonly onPress?: (xPx: number, yPx: number) => void;
}

/** What moved less than this was a press. */
const PRESS_PX = 4;
/** Of a wheel's turn, in the browser's pixels; a page of ordinary text scrolls by about 100 a notch. */
const WHEEL_STEP = 0.002;

/**
 * Dragging moves, two fingers or the wheel go closer and wider. The wheel does so only where the element or something in
 * it has the focus, or with Ctrl: on the way down the page nobody is to be caught by a drawing. A finger that moves up
 * or down scrolls the page (`touch-action: pan-y`).
 */
export function useGestures(element: RefObject<HTMLElement | null>, gestures: Gestures): void {
  const now = useRef(gestures);
  now.current = gestures;
  useEffect(() => {
    const target = element.current;
    if (!target) return;
    const fingers = new Map<number, number>();
    let begun: { readonly range: TimeRange; readonly xs: readonly number[]; readonly y: number } | undefined;
    let isPress = false;
    // Several turns of the wheel may come between two pictures of the screen, each with the same range in sight.
    let turned: { readonly from: TimeRange; readonly to: TimeRange } | undefined;

    const secondsAt = (range: TimeRange, x: number) => {
      const { leftPx, widthPx } = now.current;
      return range.fromSeconds + ((x - leftPx) / widthPx) * (range.toSeconds - range.fromSeconds);
    };
    const place = (event: PointerEvent | WheelEvent) => {
      const box = target.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top] as const;
    };
    const begin = (y: number) => {
      begun = { range: now.current.range, xs: [...fingers.values()], y };
    };

    const down = (event: PointerEvent) => {
      if (event.button !== 0) return;
      const [x, y] = place(event);
      fingers.set(event.pointerId, x);
      isPress = fingers.size === 1;
      begin(y);
    };
    const move = (event: PointerEvent) => {
      if (!begun || !fingers.has(event.pointerId)) return;
      // Let go of where nobody saw it, such as beside the drawing.
      if (event.buttons === 0) return up(event);
      const [x, y] = place(event);
      fingers.set(event.pointerId, x);
      const [a, b] = [...fingers.values()];
      const [a0, b0] = begun.xs;
      if (a === undefined || a0 === undefined) return;
      if (isPress && Math.hypot(a - a0, y - begun.y) < PRESS_PX) return;
      if (isPress) target.setPointerCapture(event.pointerId);
      isPress = false;
      const { bounds, onRange } = now.current;
      if (b !== undefined && b0 !== undefined) onRange(pinched(begun.range, [a0, b0], [a, b], secondsAt, bounds));
      else {
        const by = secondsAt(begun.range, a0) - secondsAt(begun.range, a);
        const { fromSeconds, toSeconds } = begun.range;
        onRange(fitted({ fromSeconds: fromSeconds + by, toSeconds: toSeconds + by }, bounds));
      }
    };
    const up = (event: PointerEvent) => {
      if (!fingers.delete(event.pointerId)) return;
      const [x, y] = place(event);
      if (isPress && event.type === "pointerup") now.current.onPress?.(x, y);
      isPress = false;
      if (fingers.size > 0) begin(y);
      else begun = undefined;
    };
    const wheel = (event: WheelEvent) => {
      const { range: seen, bounds, onRange: change } = now.current;
      const range = turned?.from === seen ? turned.to : seen;
      const onRange = (to: TimeRange) => {
        turned = { from: seen, to };
        change(to);
      };
      if (!event.ctrlKey && !target.contains(document.activeElement)) return;
      event.preventDefault();
      const [x] = place(event);
      if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
        const by = secondsAt(range, x + event.deltaX) - secondsAt(range, x);
        onRange(fitted({ fromSeconds: range.fromSeconds + by, toSeconds: range.toSeconds + by }, bounds));
      } else onRange(zoomed(range, Math.exp(event.deltaY * WHEEL_STEP), secondsAt(range, x), bounds));
    };

    target.addEventListener("pointerdown", down);
    target.addEventListener("pointermove", move);
    target.addEventListener("pointerup", up);
    target.addEventListener("pointercancel", up);
    target.addEventListener("wheel", wheel, { passive: false });
    return () => {
      target.removeEventListener("pointerdown", down);
      target.removeEventListener("pointermove", move);
      target.removeEventListener("pointerup", up);
      target.removeEventListener("pointercancel", up);
      target.removeEventListener("wheel", wheel);
    };
  }, [element]);
}

/** What lay under the two fingers lies under them still. */
function pinched(
  range: TimeRange,
  [a0, b0]: readonly [number, number],
  [a, b]: readonly [number, number],
  secondsAt: (range: TimeRange, x: number) => number,
  bounds: Bounds,
): TimeRange {
  const apart = Math.max(8, Math.abs(b - a));
  const factor = Math.max(8, Math.abs(b0 - a0)) / apart;
  const middle = secondsAt(range, (a0 + b0) / 2);
  const closer = zoomed(range, factor, middle, bounds);
  const by = middle - secondsAt(closer, (a + b) / 2);
  return fitted({ fromSeconds: closer.fromSeconds + by, toSeconds: closer.toSeconds + by }, bounds);
}
