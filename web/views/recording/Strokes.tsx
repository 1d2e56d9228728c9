import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { useInk } from "./useInk.ts";

interface StrokesProps {
  /** One over the other; where a later one begins and ends, the earlier ones are cleared. x, width, top, bottom each. */
  readonly layers: readonly Float32Array[];
  readonly widthPx: number;
  readonly heightPx: number;
}

/** Upright strokes, painted: a signal has more of them than a page has room for elements. */
export function Strokes({ layers, widthPx, heightPx }: StrokesProps): JSX.Element {
  const canvas = useRef<HTMLCanvasElement>(null);
  const round = useInk();
  useEffect(() => {
    const target = canvas.current;
    const ink = target?.getContext("2d");
    if (!target || !ink) return;
    const scale = globalThis.devicePixelRatio || 1;
    const [wide, high] = [Math.round(widthPx * scale), Math.round(heightPx * scale)];
    // Setting the size anew, even to the same, costs more than painting.
    if (target.width !== wide || target.height !== high) {
      target.width = wide;
      target.height = high;
    }
    ink.setTransform(scale, 0, 0, scale, 0, 0);
    ink.clearRect(0, 0, widthPx, heightPx);
    ink.fillStyle = getComputedStyle(target).color;
    for (const strokes of layers) {
      const first = strokes[0];
      if (first === undefined) continue;
      const end = (strokes[strokes.length - 4] ?? 0) + (strokes[strokes.length - 3] ?? 0);
      ink.clearRect(first, 0, end - first, heightPx);
      ink.beginPath();
      for (let i = 0; i < strokes.length; i += 4) {
        const x = strokes[i] ?? 0;
        const top = strokes[i + 2] ?? 0;
        // Whole pixels: between two halves of one the ground would shine through as a seam.
        const left = Math.floor(x);
        ink.rect(left, top, Math.max(1, Math.ceil(x + (strokes[i + 1] ?? 0)) - left), (strokes[i + 3] ?? 0) - top);
      }
      ink.fill();
    }
  }, [layers, widthPx, heightPx, round]);
  return <canvas ref={canvas} class="envelope" style={{ width: `${widthPx}px`, height: `${heightPx}px` }} />;
}
