import type { JSX } from "preact";
import { useCallback, useMemo, useState } from "preact/hooks";
import type { NoteBody, RecordingBody } from "../../../server/http/wire.ts";
import type { LayoutEntry } from "../../calls/layouts.ts";
import { signalWithFrequency } from "../../calls/measures.ts";
import { notesOf } from "../../calls/notes.ts";
import { type Records, signalOf } from "../../calls/recordings.ts";
import { useSettings } from "../../device.ts";
import { useLoaded } from "../../loaded.ts";
import { answerOf, interfererWords } from "../../model/recording/answer.ts";
import { bandOf } from "../../model/recording/bandOf.ts";
import { frameLines } from "../../model/recording/frameLines.ts";
import { type Frame, firstChosen, framesOf } from "../../model/recording/frames.ts";
import { frequencyAxis } from "../../model/recording/frequencyDrawing.ts";
import { ordered } from "../../model/recording/lineOrder.ts";
import type { Mark as NamedMark } from "../../model/recording/marks.ts";
import { pictureMarks } from "../../model/recording/picture/pictureMarks.ts";
import { boundsOf, closeUp, showing, type TimeRange, wholeRange } from "../../model/recording/range.ts";
import { type SearchHit, search } from "../../model/recording/search.ts";
import { sharedLink } from "../../model/recording/sharedLink.ts";
import { type LevelUnit, levelAxis } from "../../model/recording/signalDrawing.ts";
import { valueCharts } from "../../model/recording/values.ts";
import { CopyButton } from "../../views/CopyButton.tsx";
import { CompareFrame } from "../../views/compare/CompareFrame.tsx";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { BitStripBand } from "../../views/recording/BitStripBand.tsx";
import { BurstMeasuresBand } from "../../views/recording/BurstMeasuresBand.tsx";
import { BandsContext } from "../../views/recording/bands.ts";
import { EventList } from "../../views/recording/EventList.tsx";
import { ExportMenu } from "../../views/recording/ExportMenu.tsx";
import { FrameLinesBand } from "../../views/recording/FrameLinesBand.tsx";
import { FrameSteps } from "../../views/recording/FrameSteps.tsx";
import { HitTicks } from "../../views/recording/HitTicks.tsx";
import { Ladder } from "../../views/recording/Ladder.tsx";
import { LineOrderMenu } from "../../views/recording/LineOrderMenu.tsx";
import { MeasurePanel } from "../../views/recording/MeasurePanel.tsx";
import { NotesBand } from "../../views/recording/NotesBand.tsx";
import { NoteTicks } from "../../views/recording/NoteTicks.tsx";
import { OverviewBand } from "../../views/recording/OverviewBand.tsx";
import { PictureMenu } from "../../views/recording/PictureMenu.tsx";
import { RangeBar } from "../../views/recording/RangeBar.tsx";
import { SearchBar } from "../../views/recording/SearchBar.tsx";
import { SignalBand } from "../../views/recording/SignalBand.tsx";
import { useRecordingView } from "../../views/recording/useRecordingView.ts";
import { useSignal } from "../../views/recording/useSignal.ts";
import { ValuesBand } from "../../views/recording/ValuesBand.tsx";
import { WhenSeen } from "../../views/recording/WhenSeen.tsx";
import { useWidth } from "../../views/useWidth.ts";
import { useChosenFrame } from "./useChosenFrame.ts";
import { useMarking } from "./useMarking.ts";
import { useRecordingActions } from "./useRecordingActions.ts";
import { useWheels } from "./useWheels.ts";
import { WorkOutLayout } from "./WorkOutLayout.tsx";

interface EvidenceProps {
  readonly recording: RecordingBody;
  readonly records: Records;
  readonly shelf: readonly LayoutEntry[];
}

/** Below this the frame lines become a list of events. */
const NARROW_PX = 560;
const GUTTER_PX = { narrow: 44, wide: 132 } as const;
const MOST_COLUMNS = 2048;
const NO_NOTES: readonly NoteBody[] = [];

/** The bands of a recording's page, top to bottom, and beside them the ladder of the chosen frame. */
export function Evidence({ recording, records, shelf }: EvidenceProps): JSX.Element {
  const { hash, seconds, sampleRateHz, summary } = recording;
  const { bursts, telegrams } = records;
  const settings = useSettings();
  const bounds = useMemo(() => boundsOf(seconds, sampleRateHz), [seconds, sampleRateHz]);
  const frames = useMemo(() => framesOf(bursts, telegrams), [bursts, telegrams]);
  const layoutOf = useCallback((id: string) => shelf.find((entry) => entry.id === id)?.layout, [shelf]);
  const history = useRecordingView(bounds);
  const { view, canGoBack, canGoForward, setRange, goBack, goForward, change } = history;
  const { range, cursorSeconds, marks } = view;
  const chosen = useMemo(() => frames.find(({ id }) => id === view.frame) ?? firstChosen(frames), [frames, view.frame]);
  const notes = useLoaded(`notes ${hash}`, () => notesOf(hash));

  const [box, boxPx] = useWidth();
  const narrow = boxPx < NARROW_PX;
  const gutterPx = narrow ? GUTTER_PX.narrow : GUTTER_PX.wide;
  const widthPx = Math.max(120, boxPx - gutterPx);

  const [unit, setUnit] = useState<LevelUnit>("dBFS");
  const layout = layoutOf(chosen?.telegram?.telegram.layout ?? chosen?.burst.layout ?? "");
  const band = useMemo(() => chosen && bandOf(chosen.burst), [chosen]);
  // Where the recording does not say how it was tuned, frequencies count from its middle, and no carrier is near.
  const isTuned = recording.captures.every(({ carrierHz }) => carrierHz !== null);
  const nominal = layout?.carrierHz.toSorted(byDistance(chosen?.burst.carrierHz ?? 0))[0];
  const axisHz = (isTuned ? nominal : undefined) ?? chosen?.burst.carrierHz;
  const frequency = useMemo(
    () =>
      view.frequency && band && axisHz !== undefined ? frequencyAxis(axisHz, band.middleHz, band.halfHz) : undefined,
    [view.frequency, band, axisHz],
  );
  const ask = useCallback((wanted: TimeRange, columns: number) => signalOf(hash, wanted, columns), [hash]);
  const askNear = useCallback(
    (wanted: TimeRange, columns: number) =>
      frequency && band ? signalWithFrequency(hash, wanted, columns, band) : signalOf(hash, wanted, columns),
    [hash, frequency, band],
  );
  const all = useMemo(() => wholeRange(bounds), [bounds]);
  const whole = useSignal(ask, all, columnsFor(boxPx));
  const near = useSignal(askNear, range, columnsFor(widthPx));
  const overviewAxis = useMemo(() => whole.body && levelAxis(whole.body, "dBFS"), [whole.body]);

  const ofChosen = useChosenFrame(recording, chosen, layoutOf, view, settings);
  const { found, stretches, field, fieldTime, timing, spectrum } = ofChosen;

  const wheels = useWheels(hash, view.order === "wheel");
  const lines = useMemo(
    () => ordered(frameLines(frames), view.order, wheels.rankOf, view.lines),
    [frames, view.order, view.lines, wheels],
  );
  const shownLines = useMemo(
    () => lines.filter(({ key }) => !view.hiddenLines.includes(key)),
    [lines, view.hiddenLines],
  );
  const charts = useMemo(() => valueCharts(frames, layoutOf, settings), [frames, layoutOf, settings]);

  const onCursor = useCallback((atSeconds: number) => change({ cursorSeconds: atSeconds }), [change]);
  const onField = useCallback((first: number) => change({ field: first, frame: chosen?.id }), [change, chosen]);
  const onFrequency = useCallback((shown: boolean) => change({ frequency: shown }), [change]);
  const chooseFrame = useCallback(
    (frame: Frame, first?: number) =>
      change(({ range: now }) => ({ frame: frame.id, field: first, range: showing(now, frame, bounds) })),
    [change, bounds],
  );
  const chooseAt = (atSeconds: number) => {
    const away = (frame: Frame) => Math.max(frame.fromSeconds - atSeconds, atSeconds - frame.toSeconds, 0);
    const nearest = frames.toSorted((a, b) => away(a) - away(b))[0];
    // A press far from every frame only reads the level; one into the chosen frame keeps its field.
    if (!nearest || nearest.id === chosen?.id || away(nearest) > 0.02 * (range.toSeconds - range.fromSeconds)) return;
    change({ frame: nearest.id, field: undefined });
  };
  const showSamples = useMemo(
    () => fieldTime && (() => change({ range: closeUp(fieldTime, bounds), cursorSeconds: fieldTime.fromSeconds })),
    [fieldTime, bounds, change],
  );
  const showLarge = useMemo(
    () => chosen && (() => change({ range: closeUp(chosen, bounds), frame: chosen.id })),
    [chosen, bounds, change],
  );
  const showMark = (mark: NamedMark) => {
    const moment = { fromSeconds: mark.atSeconds, toSeconds: mark.atSeconds };
    change({ cursorSeconds: mark.atSeconds, range: showing(range, moment, bounds) });
  };
  const marking = useMarking({
    hash,
    sampleRateHz,
    bounds,
    view,
    change,
    signals: [whole.body, near.body],
    chosen,
    nominalRate: layout?.symbolRate,
  });
  const heardNotes = notes.state === "there" ? notes.value : NO_NOTES;
  const searched = useMemo(
    () => search(view.find, { frames, notes: heardNotes, layoutOf, units: settings }),
    [view.find, frames, heardNotes, layoutOf, settings],
  );
  const [hitKey, setHitKey] = useState<string>();
  const lookFor = (find: string) => {
    change({ find });
    // The next step begins anew: what was shown of another search says nothing about this one.
    setHitKey(undefined);
  };
  const showHit = (hit: SearchHit) => {
    setHitKey(hit.key);
    const ofFrame = hit.of.kind === "frame" ? { frame: hit.of.id, field: hit.bit } : {};
    change({ range: showing(range, hit, bounds), cursorSeconds: hit.fromSeconds, ...ofFrame });
  };
  const rows = useMemo(
    () => (
      <>
        <HitTicks hits={searched.ok ? searched.hits : []} at={hitKey} seconds={seconds} widthPx={boxPx} />
        <NoteTicks notes={heardNotes} seconds={seconds} widthPx={boxPx} />
      </>
    ),
    [searched, hitKey, heardNotes, seconds, boxPx],
  );
  useRecordingActions({
    history,
    bounds,
    frames,
    chosen,
    lines,
    marking,
    spectrum,
    unit,
    onUnit: setUnit,
    onChoose: chooseFrame,
    onLarge: showLarge,
    onSamples: showSamples,
  });

  const { lowestHz, highestHz } = near.body ?? {};
  const picture = useMemo(
    () => ({
      recording,
      answer: answerOf({ bursts, telegrams, summary }),
      frames,
      lines: shownLines,
      chosen,
      found,
      whole: whole.body,
      near: near.body,
      levelUnit: unit,
      frequency: frequency && near.body && lowestHz && highestHz ? { ...near.body, lowestHz, highestHz } : undefined,
      cursorSeconds,
      marks: pictureMarks(marks, heardNotes),
      units: settings,
    }),
    [
      recording,
      bursts,
      telegrams,
      summary,
      frames,
      shownLines,
      chosen,
      found,
      whole.body,
      near.body,
      unit,
      frequency,
      lowestHz,
      highestHz,
      cursorSeconds,
      marks,
      heardNotes,
      settings,
    ],
  );
  const shared = { bounds, range, cursorSeconds, marks, onRange: setRange, onBack: goBack, onCursor };
  const bands = useMemo(
    () => ({ hidden: view.hiddenBands, setHidden: (hiddenBands: readonly string[]) => change({ hiddenBands }) }),
    [view.hiddenBands, change],
  );
  const order = useMemo(
    () => (
      <LineOrderMenu
        lines={lines}
        order={view.order}
        hidden={view.hiddenLines}
        knowsWheels={wheels.known}
        onOpen={wheels.ask}
        onOrder={(next, byHand) => change({ order: next, lines: next === "by hand" ? byHand : [] })}
        onHidden={(hiddenLines) => change({ hiddenLines })}
      />
    ),
    [lines, view.order, view.hiddenLines, wheels, change],
  );
  // What a drag does not change is not gone through again at every step of it.
  const steps = useMemo(
    () =>
      chosen && (
        <>
          <FrameSteps frames={frames} chosen={chosen} onChoose={chooseFrame} onCloseUp={() => showLarge?.()} />
          <CompareFrame hash={hash} name={recording.name} frame={chosen} />
        </>
      ),
    [frames, chosen, chooseFrame, showLarge, hash, recording.name],
  );
  const ofFrame = useMemo(
    () =>
      chosen &&
      found && (
        <>
          <BitStripBand
            {...ofChosen}
            frame={chosen}
            found={found}
            widthPx={boxPx}
            onField={onField}
            onSamples={showSamples}
            steps={steps}
          />
          <BurstMeasuresBand
            {...ofChosen}
            frame={chosen}
            sampleRateHz={sampleRateHz}
            timing={ofChosen.howOften}
            widthPx={boxPx}
          />
        </>
      ),
    [chosen, found, ofChosen, boxPx, onField, showSamples, steps, sampleRateHz],
  );
  const why = useMemo(
    () =>
      chosen ? (
        <Ladder rungs={chosen.burst.rungs} of={`burst at ${chosen.burst.atSeconds.toFixed(3)}\u202fs`} />
      ) : (
        <Ladder rungs={summary?.rungs ?? []} of="whole recording" />
      ),
    [chosen, summary],
  );

  return (
    <BandsContext.Provider value={bands}>
      <div class="recording">
        <div class="answer-band">
          <p class="answer-line">{answerOf({ bursts, telegrams, summary })}</p>
          <WorkOutLayout recording={recording} bursts={bursts} />
          {interfererWords(summary).map((words) => (
            <p key={words}>
              <Mark strength="look here" words={words} />
            </p>
          ))}
        </div>
        <div class="bands" ref={box}>
          <SearchBar
            text={view.find}
            onText={lookFor}
            searched={searched}
            at={hitKey}
            onHit={showHit}
            fromSeconds={range.fromSeconds}
          />
          <RangeBar
            {...shared}
            aroundSeconds={cursorSeconds ?? chosen?.fromSeconds}
            canGoBack={canGoBack}
            canGoForward={canGoForward}
            onForward={goForward}
          />
          <OverviewBand
            {...shared}
            frames={frames}
            signal={whole.body}
            axis={overviewAxis}
            widthPx={boxPx}
            rows={rows}
          />
          {whole.problem && <ProblemNote problem={whole.problem} again={whole.again} />}
          <SignalBand
            {...shared}
            whole={whole.body}
            near={near}
            chosen={chosen}
            timing={timing}
            stretches={stretches}
            field={field}
            frequency={frequency}
            unit={unit}
            gutterPx={gutterPx}
            widthPx={widthPx}
            onUnit={setUnit}
            onChooseAt={chooseAt}
            onFrequency={onFrequency}
            onMark={marking.onMark}
            measuring={<MeasurePanel {...marking} marks={marks} cursorSeconds={cursorSeconds} onShow={showMark} />}
          />
          {narrow ? (
            <EventList {...shared} lines={lines} frames={frames} chosen={chosen} onChoose={chooseFrame} />
          ) : (
            frames.length > 0 && (
              <WhenSeen
                range={range}
                of={[shownLines, chosen, gutterPx, widthPx, wheels, order, cursorSeconds, marks, chooseFrame]}
              >
                {(seen) => (
                  <FrameLinesBand
                    {...shared}
                    range={seen}
                    lines={shownLines}
                    chosen={chosen}
                    gutterPx={gutterPx}
                    widthPx={widthPx}
                    wheelOf={wheels.wheelOf}
                    order={order}
                    onChoose={chooseFrame}
                  />
                )}
              </WhenSeen>
            )
          )}
          {ofFrame}
          <WhenSeen range={range} of={[charts, gutterPx, widthPx, cursorSeconds, marks, chooseFrame]}>
            {(seen) =>
              charts.map((chart) => (
                <ValuesBand
                  {...shared}
                  range={seen}
                  key={chart.quantity}
                  chart={chart}
                  gutterPx={gutterPx}
                  widthPx={widthPx}
                  onValue={chooseFrame}
                />
              ))
            }
          </WhenSeen>
          {notes.state === "failed" && <ProblemNote problem={notes.problem} again={notes.reload} />}
          <WhenSeen range={range} of={[notes, chosen, recording, frames, marks, picture]}>
            {(seen) => (
              <>
                {notes.state === "there" && (
                  <NotesBand
                    recording={recording}
                    notes={notes.value}
                    range={seen}
                    chosen={chosen}
                    onShow={setRange}
                    onChanged={notes.reload}
                  />
                )}
                <p class="band-acts">
                  <CopyButton label="Copy the link" text={() => sharedLink(location.href, recording)} />
                </p>
                <PictureMenu view={{ ...picture, range: seen }} />
                <ExportMenu recording={recording} frames={frames} range={seen} marks={marks} />
              </>
            )}
          </WhenSeen>
        </div>
        {/* biome-ignore lint/a11y/noNoninteractiveTabindex: beside the bands it scrolls, and has to be reached by keys */}
        <section class="why" aria-label="Why" tabIndex={0}>
          {why}
        </section>
      </div>
    </BandsContext.Provider>
  );
}

function byDistance(hz: number): (a: number, b: number) => number {
  return (a, b) => Math.abs(a - hz) - Math.abs(b - hz);
}

/** Whole hundreds, so that a page that grows by a pixel does not ask anew. */
function columnsFor(widthPx: number): number {
  return Math.min(MOST_COLUMNS, Math.max(100, 100 * Math.ceil((widthPx * (globalThis.devicePixelRatio || 1)) / 100)));
}
