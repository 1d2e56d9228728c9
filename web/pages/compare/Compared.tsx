import type { JSX } from "preact";
import { useCallback, useMemo, useRef, useState } from "preact/hooks";
import { useSettings } from "../../device.ts";
import { differencesOf } from "../../model/compare/differences.ts";
import { measureRows } from "../../model/compare/measures.ts";
import { type Lane, onAxis, sharedAxis } from "../../model/compare/overlay.ts";
import type { Picked } from "../../model/compare/picked.ts";
import { placeOf } from "../../model/compare/places.ts";
import { closeUp, fitted, isSame, type TimeRange, wholeRange } from "../../model/recording/range.ts";
import { DifferencesBand } from "../../views/compare/DifferencesBand.tsx";
import { MeasuresSection } from "../../views/compare/MeasuresSection.tsx";
import { OverlayBand } from "../../views/compare/OverlayBand.tsx";
import { SharedRangeBar } from "../../views/compare/SharedRangeBar.tsx";
import { useSymbols } from "../../views/compare/useSymbols.ts";
import { useWidth } from "../../views/useWidth.ts";
import type { ComparisonHere } from "./useComparison.ts";

interface ComparedProps {
  readonly here: ComparisonHere;
  /** Two at least. */
  readonly these: readonly (Picked & { readonly at: number })[];
}

const GUTTER_PX = 44;
/** Room for the letters at the lines' ends. */
const END_PX = 24;
const LEAST_SAMPLES = 16;
/** Changes with less than this between them are one gesture, and one step back. */
const GESTURE_MS = 700;
const MOST_BACK = 100;

/** Signals over each other, bits above each other, measures beside each other. */
export function Compared({ here: { comparison, change }, these }: ComparedProps): JSX.Element {
  const settings = useSettings();
  const [box, boxPx] = useWidth();
  const widthPx = Math.max(120, boxPx - GUTTER_PX - END_PX);
  const symbols = useSymbols(these);
  const { align, offsetsSeconds } = comparison;
  const places = useMemo(
    () =>
      these.map((one, i) =>
        placeOf(
          {
            frame: one.frame,
            layout: one.layout,
            sampleRateHz: one.recording.sampleRateHz,
            symbols: symbols[i],
            offsetSeconds: offsetsSeconds[one.at] ?? 0,
          },
          align,
        ),
      ),
    [these, symbols, align, offsetsSeconds],
  );
  const lanes = useMemo<readonly Lane[]>(
    () => these.map(({ recording }, i) => ({ zeroSeconds: places[i]?.atSeconds ?? 0, seconds: recording.seconds })),
    [these, places],
  );
  const axis = useMemo(() => {
    const fastest = Math.max(...these.map(({ recording }) => recording.sampleRateHz));
    return sharedAxis(lanes, LEAST_SAMPLES / fastest);
  }, [lanes, these]);
  const { bounds, leadSeconds } = axis;

  // What is shown counts from zero, so that it stays where it is when a recording is added that begins earlier.
  const frames = useMemo(() => framesRange(these, lanes, axis), [these, lanes, axis]);
  const asked = comparison.range;
  const range = useMemo(
    () => (asked === undefined ? frames : fitted(shifted(asked, leadSeconds), bounds)),
    [asked, frames, leadSeconds, bounds],
  );
  const [before, setBefore] = useState<readonly (TimeRange | undefined)[]>([]);
  const changedMs = useRef(Number.NEGATIVE_INFINITY);
  const setRange = useCallback(
    (next: TimeRange) => {
      if (isSame(next, range)) return;
      const nowMs = performance.now();
      if (nowMs - changedMs.current > GESTURE_MS) setBefore((all) => [...all, asked].slice(-MOST_BACK));
      changedMs.current = nowMs;
      change({ range: shifted(next, -leadSeconds) });
    },
    [range, asked, leadSeconds, change],
  );
  const goBack = () => {
    changedMs.current = Number.NEGATIVE_INFINITY;
    setBefore(before.slice(0, -1));
    change({ range: before.at(-1) });
  };
  const found = useMemo(
    () => these.slice(1).map((one) => differencesOf(these[0]?.bits ?? { source: "nothing" }, one.bits, settings)),
    [these, settings],
  );
  const rows = useMemo(
    () =>
      measureRows(
        these.flatMap(({ frame, layout, frames: all }) =>
          frame === undefined ? [] : [{ frame, layout, frames: all }],
        ),
        settings,
      ),
    [these, settings],
  );
  const measured = these.filter(({ frame }) => frame !== undefined);

  return (
    <div class="bands" ref={box}>
      <SharedRangeBar
        range={range}
        axis={axis}
        frames={frames}
        canGoBack={before.length > 0}
        onRange={setRange}
        onFrames={() => setRange(frames)}
        onWhole={() => setRange(wholeRange(bounds))}
        onBack={goBack}
      />
      <OverlayBand
        these={these}
        places={places}
        lanes={lanes}
        axis={axis}
        range={range}
        gutterPx={GUTTER_PX}
        widthPx={widthPx}
        onRange={setRange}
        onBack={() => before.length > 0 && goBack()}
      />
      <DifferencesBand these={these} found={found} widthPx={boxPx} />
      <MeasuresSection these={measured} rows={rows} />
    </div>
  );
}

function shifted({ fromSeconds, toSeconds }: TimeRange, bySeconds: number): TimeRange {
  return { fromSeconds: fromSeconds + bySeconds, toSeconds: toSeconds + bySeconds };
}

/** All of the chosen frames, with some of what is around them. */
function framesRange(
  these: ComparedProps["these"],
  lanes: readonly Lane[],
  axis: ReturnType<typeof sharedAxis>,
): TimeRange {
  const parts = these.flatMap(({ frame }, i) => {
    const lane = lanes[i];
    return frame && lane ? [onAxis(frame, lane, axis)] : [];
  });
  if (parts.length === 0) return wholeRange(axis.bounds);
  const fromSeconds = Math.min(...parts.map((part) => part.fromSeconds));
  const toSeconds = Math.max(...parts.map((part) => part.toSeconds));
  return closeUp({ fromSeconds, toSeconds }, axis.bounds);
}
