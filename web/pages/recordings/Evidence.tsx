import type { JSX } from "preact";
import { useCallback, useMemo } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import type { LayoutEntry } from "../../calls/layouts.ts";
import { type Records, signalOf } from "../../calls/recordings.ts";
import { answerOf, interfererWords } from "../../model/recording/answer.ts";
import { frameBits } from "../../model/recording/frameBits.ts";
import { frameLines } from "../../model/recording/frameLines.ts";
import { type Frame, firstChosen, framesOf } from "../../model/recording/frames.ts";
import { boundsOf, closeUp, showing, type TimeRange, wholeRange } from "../../model/recording/range.ts";
import { levelAxis } from "../../model/recording/signalDrawing.ts";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { BitStripBand } from "../../views/recording/BitStripBand.tsx";
import { EventList } from "../../views/recording/EventList.tsx";
import { FrameLinesBand } from "../../views/recording/FrameLinesBand.tsx";
import { FrameSteps } from "../../views/recording/FrameSteps.tsx";
import { Ladder } from "../../views/recording/Ladder.tsx";
import { OverviewBand } from "../../views/recording/OverviewBand.tsx";
import { RangeBar } from "../../views/recording/RangeBar.tsx";
import { SignalBand } from "../../views/recording/SignalBand.tsx";
import { useRecordingView } from "../../views/recording/useRecordingView.ts";
import { useSignal } from "../../views/recording/useSignal.ts";
import { useWidth } from "../../views/useWidth.ts";

interface EvidenceProps {
  readonly recording: RecordingBody;
  readonly records: Records;
  readonly shelf: readonly LayoutEntry[];
}

/** Below this the frame lines become a list of events. */
const NARROW_PX = 560;
const GUTTER_PX = { narrow: 44, wide: 132 } as const;
const MOST_COLUMNS = 2048;

/** The bands of a recording's page, top to bottom, and beside them the ladder of the chosen frame. */
export function Evidence({ recording, records, shelf }: EvidenceProps): JSX.Element {
  const { hash, seconds, sampleRateHz, summary } = recording;
  const { bursts, telegrams } = records;
  const bounds = useMemo(() => boundsOf(seconds, sampleRateHz), [seconds, sampleRateHz]);
  const frames = useMemo(() => framesOf(bursts, telegrams), [bursts, telegrams]);
  const lines = useMemo(() => frameLines(frames), [frames]);
  const view = useRecordingView(bounds);
  const { range, setRange, goBack, choose } = view;
  const chosen = frames.find(({ id }) => id === view.frame) ?? firstChosen(frames);

  const [box, boxPx] = useWidth();
  const narrow = boxPx < NARROW_PX;
  const gutterPx = narrow ? GUTTER_PX.narrow : GUTTER_PX.wide;
  const widthPx = Math.max(120, boxPx - gutterPx);
  const ask = useCallback((wanted: TimeRange, columns: number) => signalOf(hash, wanted, columns), [hash]);
  const all = useMemo(() => wholeRange(bounds), [bounds]);
  const whole = useSignal(ask, all, columnsFor(boxPx));
  const near = useSignal(ask, range, columnsFor(widthPx));
  const overviewAxis = useMemo(() => whole.body && levelAxis(whole.body, "dBFS"), [whole.body]);

  const found = useMemo(() => {
    const layoutOf = (id: string) => shelf.find((entry) => entry.id === id)?.layout;
    return chosen && frameBits(chosen, layoutOf);
  }, [chosen, shelf]);
  const chooseFrame = useCallback(
    (frame: Frame) => {
      choose(frame.id);
      setRange(showing(range, frame, bounds));
    },
    [choose, setRange, range, bounds],
  );
  const chooseAt = (atSeconds: number) => {
    const away = (frame: Frame) => Math.max(frame.fromSeconds - atSeconds, atSeconds - frame.toSeconds, 0);
    const near1 = frames.toSorted((a, b) => away(a) - away(b))[0];
    // A press far from every frame only reads the level.
    if (near1 && away(near1) <= 0.02 * (range.toSeconds - range.fromSeconds)) choose(near1.id);
  };
  const shared = { bounds, range, onRange: setRange, onBack: goBack };

  return (
    <div class="recording">
      <div class="answer-band">
        <p class="answer-line">{answerOf({ bursts, telegrams, summary })}</p>
        {interfererWords(summary).map((words) => (
          <p key={words}>
            <Mark strength="look here" words={words} />
          </p>
        ))}
      </div>
      <div class="bands" ref={box}>
        <RangeBar {...shared} aroundSeconds={chosen?.fromSeconds} canGoBack={view.canGoBack} />
        <OverviewBand {...shared} frames={frames} signal={whole.body} axis={overviewAxis} widthPx={boxPx} />
        {whole.problem && <ProblemNote problem={whole.problem} again={whole.again} />}
        <SignalBand
          {...shared}
          whole={whole.body}
          near={near}
          chosen={chosen}
          gutterPx={gutterPx}
          widthPx={widthPx}
          onChooseAt={chooseAt}
        />
        {narrow ? (
          <EventList {...shared} lines={lines} frames={frames} chosen={chosen} onChoose={chooseFrame} />
        ) : (
          frames.length > 0 && (
            <FrameLinesBand
              {...shared}
              lines={lines}
              chosen={chosen}
              gutterPx={gutterPx}
              widthPx={widthPx}
              onChoose={chooseFrame}
            />
          )
        )}
        {chosen && found && (
          <BitStripBand
            frame={chosen}
            found={found}
            widthPx={boxPx}
            steps={
              <FrameSteps
                frames={frames}
                chosen={chosen}
                onChoose={chooseFrame}
                onCloseUp={() => setRange(closeUp(chosen, bounds))}
              />
            }
          />
        )}
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: beside the bands it scrolls, and has to be reached by keys */}
      <section class="why" aria-label="Why" tabIndex={0}>
        {chosen ? (
          <Ladder rungs={chosen.burst.rungs} of={`burst at ${chosen.burst.atSeconds.toFixed(3)}\u202fs`} />
        ) : (
          <Ladder rungs={summary?.rungs ?? []} of="whole recording" />
        )}
      </section>
    </div>
  );
}

/** Whole hundreds, so that a page that grows by a pixel does not ask anew. */
function columnsFor(widthPx: number): number {
  return Math.min(MOST_COLUMNS, Math.max(100, 100 * Math.ceil((widthPx * (globalThis.devicePixelRatio || 1)) / 100)));
}
