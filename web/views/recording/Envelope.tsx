import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import type { TimeRange } from "../../model/recording/range.ts";
import { type LevelAxis, levelStrokes } from "../../model/recording/signalDrawing.ts";
import { Strokes } from "./Strokes.tsx";

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
  const layers = useMemo(
    () => signals.map((signal) => levelStrokes(signal, range, axis, { widthPx, heightPx })),
    [signals, range, axis, widthPx, heightPx],
  );
  return <Strokes layers={layers} widthPx={widthPx} heightPx={heightPx} />;
}
