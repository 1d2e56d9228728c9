import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import type { TimeRange } from "../../model/recording/range.ts";
import { type LevelAxis, levelStrokes } from "../../model/recording/signalDrawing.ts";
import { useInk } from "./useInk.ts";

interface EnvelopeProps {
  /** Drawn one over the other; later ones are finer and cover what they know better. */
  readonly signals: readonly SignalBody[];
  readonly range: TimeRange;
  readonly axis: LevelAxis;
  readonly widthPx: number;
  readonly heightPx: number;
}

/** Least and most level of every column, painted; what it shows is told beside it. */
export function Envelope({ signals, range, axis, widthPx, heightPx }: EnvelopeProps): JSX.Element {
  const canvas = useRef<HTMLCanvasElement>(null);
  const round = useInk();
  useEffect(() => {
    const target = canvas.current;
    const ink = target?.getContext("2d");
    if (!target || !ink) return;
    const scale = globalThis.devicePixelRatio || 1;
    target.width = Math.round(widthPx * scale);
    target.height = Math.round(heightPx * scale);
    ink.scale(scale, scale);
    ink.fillStyle = getComputedStyle(target).color;
    for (const signal of signals) {
      const strokes = levelStrokes(signal, range, axis, { widthPx, heightPx });
      const first = strokes[0];
      if (first === undefined) continue;
      const end = strokes[strokes.length - 4]! + strokes[strokes.length - 3]!;
      ink.clearRect(first, 0, end - first, heightPx);
      for (let i = 0; i < strokes.length; i += 4) {
        ink.fillRect(strokes[i]!, strokes[i + 2]!, Math.max(1, strokes[i + 1]!), strokes[i + 3]! - strokes[i + 2]!);
      }
    }
  }, [signals, range, axis, widthPx, heightPx, round]);
  return <canvas ref={canvas} class="envelope" style={{ width: `${widthPx}px`, height: `${heightPx}px` }} />;
}
