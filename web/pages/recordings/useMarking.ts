import { useCallback, useMemo, useRef, useState } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import { edgeNear } from "../../calls/measures.ts";
import type { RecordingView } from "../../model/recording/address.ts";
import { edgeWords } from "../../model/recording/edgeWords.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { frequencyAt } from "../../model/recording/frequencyDrawing.ts";
import { type Mark, type Measured, markCalled, withMark, withoutMark } from "../../model/recording/marks.ts";
import { type MeasureLine, measureBetween, measureLines } from "../../model/recording/measure.ts";
import type { Bounds } from "../../model/recording/range.ts";
import { levelAt } from "../../model/recording/signalDrawing.ts";
import type { ViewChange } from "../../views/recording/useRecordingView.ts";

export interface Marking {
  /** Whether a mark comes to the nearest edge. */
  readonly snaps: boolean;
  /** What came of setting the last one. */
  readonly says: string | undefined;
  /** What lies between A and B; empty until both are set. */
  readonly lines: readonly MeasureLine[];
  readonly onSnaps: (snaps: boolean) => void;
  readonly onMark: (name: Measured, atSeconds: number) => void;
  /** Keeps a moment under a name, or takes it away. */
  readonly onNamed: (name: string, atSeconds: number | undefined) => void;
}

interface MarkingOptions {
  readonly hash: string;
  readonly sampleRateHz: number;
  readonly bounds: Bounds;
  readonly view: RecordingView;
  readonly change: (change: ViewChange) => void;
  readonly signals: readonly (SignalBody | undefined)[];
  readonly chosen: Frame | undefined;
  /** Nominal rate of the chosen frame's layout. */
  readonly nominalRate: number | undefined;
}

/** An edge is looked for this far from where a mark is set, as a share of what is shown. */
const REACH = 0.02;
/** Farther away nobody takes it for the one that was meant. */
const MOST_REACH_SECONDS = 0.02;
/** However close one looks, the press itself is no more exact than this. */
const LEAST_REACH_SAMPLES = 8;

/** Marks A and B, which come to the nearest edge, and what lies between them. */
export function useMarking(options: MarkingOptions): Marking {
  const { hash, sampleRateHz, bounds, view, change, signals, chosen, nominalRate } = options;
  const { marks, range } = view;
  const [snaps, setSnaps] = useState(true);
  const [says, setSays] = useState<string>();
  // An edge is answered later than it is asked for: meanwhile marks may be set, moved and taken away.
  const newest = useRef(marks);
  newest.current = marks;
  const turn = useRef(0);
  const put = useCallback(
    (next: readonly Mark[]) => {
      newest.current = next;
      change({ marks: next });
    },
    [change],
  );
  const setMark = useCallback(
    async (name: Measured, atSeconds: number) => {
      put(withMark(newest.current, name, atSeconds, bounds));
      const at = markCalled(newest.current, name);
      turn.current += 1;
      const mine = turn.current;
      setSays(undefined);
      if (!snaps || at === undefined) return;
      const near = Math.max(LEAST_REACH_SAMPLES / sampleRateHz, REACH * (range.toSeconds - range.fromSeconds));
      const answer = await edgeNear(hash, at, Math.min(MOST_REACH_SECONDS, near));
      // Moved or gone since: what was found is about another place.
      if (markCalled(newest.current, name) !== at) return;
      if (answer.ok && answer.value.edge) put(withMark(newest.current, name, answer.value.edge.atSeconds, bounds));
      if (turn.current === mine) setSays(edgeWords(name, answer.ok ? answer.value : answer.problem));
    },
    [hash, sampleRateHz, bounds, range, snaps, put],
  );
  const setNamed = useCallback(
    (name: string, atSeconds: number | undefined) =>
      put(
        atSeconds === undefined ? withoutMark(newest.current, name) : withMark(newest.current, name, atSeconds, bounds),
      ),
    [bounds, put],
  );
  const [a, b] = [markCalled(marks, "A"), markCalled(marks, "B")];
  const [whole, near] = signals;
  const rate = nominalRate ?? chosen?.burst.symbolRate ?? undefined;
  const ofWhat = nominalRate === undefined ? undefined : (chosen?.telegram?.telegram.layout ?? chosen?.burst.layout);
  const lines = useMemo(() => {
    if (a === undefined || b === undefined) return [];
    const moment = (atSeconds: number) => ({
      atSeconds,
      level: levelAt([whole, near], atSeconds),
      frequencyHz: frequencyAt(near, atSeconds),
    });
    return measureLines(measureBetween(moment(a), moment(b), rate), ofWhat ?? undefined, sampleRateHz);
  }, [a, b, whole, near, rate, ofWhat, sampleRateHz]);
  return { snaps, says, lines, onSnaps: setSnaps, onMark: (name, at) => void setMark(name, at), onNamed: setNamed };
}
