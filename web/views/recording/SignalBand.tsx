import type { ComponentChildren, JSX } from "preact";
import { useMemo, useRef } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import { useKeys } from "../../device.ts";
import { figure, signed } from "../../model/quantities.ts";
import type { FrameStretch } from "../../model/recording/frameStretches.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { type FrameTiming, timeOfBits } from "../../model/recording/frameTiming.ts";
import {
  type FrequencyAxis,
  frequencyAt,
  frequencyStrokes,
  frequencyTicks,
} from "../../model/recording/frequencyDrawing.ts";
import { isMeasured, type Measured } from "../../model/recording/marks.ts";
import { decimalsFor, moved, rangeWords, type TimeRange } from "../../model/recording/range.ts";
import { rangeByAction, rangeByKey } from "../../model/recording/rangeKeys.ts";
import {
  type LevelUnit,
  levelAxis,
  levelParts,
  levelTicks,
  levelWords,
  strongestWords,
} from "../../model/recording/signalDrawing.ts";
import { drawnSymbols, LANE } from "../../model/recording/symbolLane.ts";
import { timeTicks } from "../../model/recording/timeTicks.ts";
import { ProblemNote } from "../ProblemNote.tsx";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { Envelope } from "./Envelope.tsx";
import { MarkHandle } from "./MarkHandle.tsx";
import type { RangeProps } from "./rangeProps.ts";
import { Strokes } from "./Strokes.tsx";
import { SymbolLaneView } from "./SymbolLaneView.tsx";
import { AXIS_PX, TimeAxis } from "./TimeAxis.tsx";
import { TimePointers } from "./TimePointers.tsx";
import { useGestures } from "./useGestures.ts";
import type { Signal } from "./useSignal.ts";

interface SignalBandProps extends RangeProps {
  readonly whole: SignalBody | undefined;
  readonly near: Signal;
  readonly chosen: Frame | undefined;
  /** Where the symbols of the chosen frame lie; `undefined` while that is not known. */
  readonly timing: FrameTiming | undefined;
  /** The fields of the chosen frame, and the one that is chosen of them. */
  readonly stretches: readonly FrameStretch[];
  readonly field: FrameStretch | undefined;
  /** The axis of the frequency, where it is shown. */
  readonly frequency: FrequencyAxis | undefined;
  readonly unit: LevelUnit;
  readonly gutterPx: number;
  readonly onUnit: (unit: LevelUnit) => void;
  /** Chooses the frame nearest to a moment. */
  readonly onChooseAt: (atSeconds: number) => void;
  readonly onFrequency: (shown: boolean) => void;
  /** Sets one of the two marks, or moves it. */
  readonly onMark: (name: Measured, atSeconds: number) => void;
  /** What can be done with marks. */
  readonly measuring?: ComponentChildren;
}

const HEIGHT_PX = 176;
const FREQUENCY_PX = 96;
/** Between the level and the frequency. */
const APART_PX = 14;
/** Arrow keys step through a range in so many steps. */
const STEPS = 100;

/** The level over time, least to most in every column, so that no pulse disappears at any zoom. */
export function SignalBand(props: SignalBandProps): JSX.Element {
  const { whole, near, bounds, range, chosen, timing, stretches, field, frequency, unit, gutterPx } = props;
  const { widthPx, cursorSeconds, marks, onRange, onBack, onCursor, onChooseAt } = props;
  const { onUnit, onFrequency, onMark, measuring } = props;
  const box = useRef<HTMLDivElement>(null);
  const keys = useKeys();
  const axis = useMemo(() => whole && levelAxis(whole, unit), [whole, unit]);
  const signals = useMemo(() => [whole, near.body].filter((signal) => signal !== undefined), [whole, near.body]);
  const ticks = useMemo(() => timeTicks(range, widthPx), [range, widthPx]);
  const length = range.toSeconds - range.fromSeconds;
  const x = (seconds: number) => ((seconds - range.fromSeconds) / length) * widthPx;
  const inSight = cursorSeconds !== undefined && cursorSeconds >= range.fromSeconds && cursorSeconds <= range.toSeconds;
  const at = inSight ? cursorSeconds : (range.fromSeconds + range.toSeconds) / 2;
  const finest = signals.findLast((signal) => at >= signal.fromSeconds && at < signal.toSeconds);
  const place = `${at.toFixed(decimalsFor(length / STEPS / 10))}\u202fs`;
  const reading = readingWords(finest, near.body, at, unit, frequency);
  const tones = useMemo(
    () =>
      frequency && near.body
        ? [frequencyStrokes(near.body, range, frequency, { widthPx, heightPx: FREQUENCY_PX })]
        : [],
    [near.body, range, frequency, widthPx],
  );
  const lane = useMemo(
    () => timing && drawnSymbols(timing, stretches, field?.stretch.at, range, widthPx),
    [timing, stretches, field, range, widthPx],
  );
  const laneIsSeen = lane !== undefined && (lane.ribbon !== undefined || lane.fields.length > 0);
  const drawnPx = HEIGHT_PX + (frequency ? APART_PX + FREQUENCY_PX : 0);
  const laneTop = drawnPx + 6;
  const axisTop = drawnPx + (laneIsSeen ? LANE.heightPx + 6 : 0);
  const fieldTime = field && timing ? timeOfBits(timing, field.stretch.at, field.stretch.bits) : undefined;

  useGestures(box, {
    range,
    bounds,
    leftPx: 0,
    widthPx,
    onRange,
    onPress(xPx) {
      const seconds = range.fromSeconds + (xPx / widthPx) * length;
      onCursor(seconds);
      onChooseAt(seconds);
    },
  });

  const step = (by: number) => {
    const next = Math.min(bounds.seconds, Math.max(0, at + by * length));
    onCursor(next);
    if (next < range.fromSeconds) onRange(moved(range, -0.25, bounds));
    if (next > range.toSeconds) onRange(moved(range, 0.25, bounds));
  };
  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const stride = (event.shiftKey ? 10 : 1) / STEPS;
    const asRange = rangeByAction(ARROWS[event.key], range, bounds, at) ?? rangeByKey(event, range, bounds, at, keys);
    if (event.key === "ArrowLeft") step(-stride);
    else if (event.key === "ArrowRight") step(stride);
    else if (event.key === "Home") onCursor(range.fromSeconds);
    else if (event.key === "End") onCursor(range.toSeconds);
    else if (event.key === "Enter") onChooseAt(at);
    else if (asRange === "back") onBack();
    else if (asRange !== undefined) onRange(asRange);
    else return;
    event.preventDefault();
  };

  return (
    <Band
      name="the signal"
      heading={strongestWords(signals, range, unit)}
      howToRead={<HowToRead />}
      table={() => <LevelTable signals={signals} range={range} unit={unit} />}
    >
      <div class="signal" style={{ paddingLeft: `${gutterPx}px` }}>
        <div
          ref={box}
          class="drawing"
          role="slider"
          data-keys="signal"
          tabIndex={0}
          aria-label="The level at a moment"
          aria-valuemin={Number(range.fromSeconds.toFixed(6))}
          aria-valuemax={Number(range.toSeconds.toFixed(6))}
          aria-valuenow={Number(at.toFixed(6))}
          aria-valuetext={`at ${place}: ${reading ?? "no level is known"}`}
          onKeyDown={key}
        >
          <div style={{ height: `${HEIGHT_PX}px` }}>
            {axis && <Envelope signals={signals} range={range} axis={axis} widthPx={widthPx} heightPx={HEIGHT_PX} />}
          </div>
          {frequency && (
            <div class="frequency" style={{ paddingTop: `${APART_PX}px` }}>
              <Strokes layers={tones} widthPx={widthPx} heightPx={FREQUENCY_PX} />
            </div>
          )}
          <svg class="over" width={widthPx} height={axisTop + AXIS_PX} aria-hidden="true">
            {axis && <UprightAxis ticks={levelTicks(axis, HEIGHT_PX)} widthPx={widthPx} topPx={0} />}
            {frequency && (
              <UprightAxis
                ticks={frequencyTicks(frequency, FREQUENCY_PX)}
                widthPx={widthPx}
                topPx={HEIGHT_PX + APART_PX}
              />
            )}
            {fieldTime && (
              <path
                class="field-span"
                d={fieldPath(x(fieldTime.fromSeconds), x(fieldTime.toSeconds), widthPx, drawnPx)}
              />
            )}
            {lane && laneIsSeen && <SymbolLaneView lane={lane} topPx={laneTop} />}
            <TimeAxis ticks={ticks} widthPx={widthPx} y={axisTop} reachPx={0} />
            {chosen && chosen.toSeconds > range.fromSeconds && chosen.fromSeconds < range.toSeconds && (
              <path class="chosen-span" d={spanPath(x(chosen.fromSeconds), x(chosen.toSeconds), widthPx)} />
            )}
            <TimePointers
              range={range}
              widthPx={widthPx}
              heightPx={drawnPx}
              cursorSeconds={cursorSeconds}
              marks={marks}
              named
            />
          </svg>
          {marks
            .filter(({ name, atSeconds }) => isMeasured(name) && x(atSeconds) >= 0 && x(atSeconds) <= widthPx)
            .map(({ name, atSeconds }) => (
              <MarkHandle
                key={name}
                name={name}
                xPx={x(atSeconds)}
                onMoved={(xPx) => isMeasured(name) && onMark(name, range.fromSeconds + (xPx / widthPx) * length)}
              />
            ))}
          <div class="axis-room" style={{ height: `${axisTop - drawnPx + AXIS_PX}px` }} />
        </div>
      </div>
      {near.problem && <ProblemNote problem={near.problem} again={near.again} />}
      {frequency && near.body?.frequencyBecause && <p class="caption">{near.body.frequencyBecause}</p>}
      <div class="signal-foot">
        <p class="caption">
          Level in {unit === "dBFS" ? "dBFS" : "shares of full scale"}
          {frequency && `, below it the frequency in kHz from ${figure(frequency.nominalHz / 1e6, 3)}\u202fMHz,`} over
          seconds from the first sample
          {reading === undefined ? "" : `; at ${place}: ${reading}`}
        </p>
        <button
          type="button"
          class="button small"
          aria-pressed={unit === "share"}
          onClick={() => onUnit(unit === "dBFS" ? "share" : "dBFS")}
        >
          Level as a share
        </button>
        <button
          type="button"
          class="button small"
          aria-pressed={frequency !== undefined}
          onClick={() => onFrequency(frequency === undefined)}
        >
          Frequency as well
        </button>
      </div>
      {measuring}
    </Band>
  );
}

/** What there is at a moment, in words. */
function readingWords(
  finest: SignalBody | undefined,
  near: SignalBody | undefined,
  atSeconds: number,
  unit: LevelUnit,
  frequency: FrequencyAxis | undefined,
): string | undefined {
  const level = finest && levelWords(finest, atSeconds, unit);
  const hz = frequency && frequencyAt(near, atSeconds);
  if (level === undefined || frequency === undefined || hz === undefined) return level;
  return `${level}, ${signed((hz - frequency.nominalHz) / 1000, 1)}\u202fkHz`;
}

interface UprightAxisProps {
  readonly ticks: readonly { readonly y: number; readonly label: string }[];
  readonly widthPx: number;
  readonly topPx: number;
}

function UprightAxis({ ticks, widthPx, topPx }: UprightAxisProps): JSX.Element {
  return (
    <>
      {ticks.map((tick) => (
        <g key={tick.label} class="level-axis">
          <line class="grid-line" x1={0} x2={widthPx} y1={topPx + tick.y} y2={topPx + tick.y} />
          <text x={-8} y={topPx + Math.max(9, tick.y)} dy="0.32em" text-anchor="end">
            {tick.label}
          </text>
        </g>
      ))}
    </>
  );
}

function LevelTable({
  signals,
  range,
  unit,
}: {
  readonly signals: readonly SignalBody[];
  readonly range: TimeRange;
  readonly unit: LevelUnit;
}): JSX.Element {
  return (
    <Table
      caption={`The level from ${rangeWords(range)}, in twenty parts`}
      rows={levelParts(signals, range, 20, unit)}
      keyOf={({ fromSeconds }) => String(fromSeconds)}
      empty={{ says: "The level is not at hand yet.", action: { label: "All recordings", href: "/recordings" } }}
      columns={[
        { name: "Time", cell: (part) => rangeWords(part) },
        { name: "Least to most", cell: ({ words }) => words },
      ]}
    />
  );
}

/** Two upright marks with feet that point at what is between them. */
function spanPath(from: number, to: number, widthPx: number): string {
  const left = from < 0 ? "" : `M${from + 5} 1H${from}V${HEIGHT_PX}H${from + 5}`;
  const right = to > widthPx ? "" : `M${to - 5} 1H${to}V${HEIGHT_PX}H${to - 5}`;
  return left + right;
}

/** The samples of the chosen field. */
function fieldPath(from: number, to: number, widthPx: number, heightPx: number): string {
  const [left, right] = [Math.max(0, from), Math.min(widthPx, to)];
  return right <= left ? "" : `M${left} 0H${Math.max(right, left + 1)}V${heightPx}H${left}z`;
}

/** In the signal they go closer and wider. */
const ARROWS: Readonly<Record<string, string>> = { ArrowUp: "range.closer", ArrowDown: "range.wider" };

function HowToRead(): JSX.Element {
  return (
    <>
      <p>
        Upwards the level, in decibels below the receiver's full scale (dBFS) or as a share of it; to the right the
        time. Each column reaches from the least to the most level in it: no sample is left out, however far away one
        looks. The frame that is chosen below stands between two marks.
      </p>
      <p>
        Come close enough and the symbols of that frame stand below the signal, where they were sent, with its fields
        under them. A small upright is a symbol that may be wrong, the longer the less sure. The pale stretch is the
        chosen field.
      </p>
      <p>
        Drag to move. Two fingers, or after a press into the drawing the wheel, go closer and wider; Ctrl and the wheel
        do so at once. With the keyboard: left and right read the level at a moment, up and down go closer and wider
        there, Enter chooses the frame there, Backspace goes back, A and B set the marks, F shows the frequency.
      </p>
    </>
  );
}
