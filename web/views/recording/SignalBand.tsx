import type { JSX } from "preact";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { decimalsFor, moved, rangeWords, type TimeRange } from "../../model/recording/range.ts";
import { rangeByKey } from "../../model/recording/rangeKeys.ts";
import {
  type LevelUnit,
  levelAxis,
  levelParts,
  levelTicks,
  levelWords,
  strongestWords,
} from "../../model/recording/signalDrawing.ts";
import { timeTicks } from "../../model/recording/timeTicks.ts";
import { ProblemNote } from "../ProblemNote.tsx";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { Envelope } from "./Envelope.tsx";
import type { RangeProps } from "./rangeProps.ts";
import { AXIS_PX, TimeAxis } from "./TimeAxis.tsx";
import { useGestures } from "./useGestures.ts";
import type { Signal } from "./useSignal.ts";

interface SignalBandProps extends RangeProps {
  readonly whole: SignalBody | undefined;
  readonly near: Signal;
  readonly chosen: Frame | undefined;
  readonly gutterPx: number;
  /** Chooses the frame nearest to a moment. */
  readonly onChooseAt: (atSeconds: number) => void;
}

const HEIGHT_PX = 176;
/** Arrow keys step through a range in so many steps. */
const STEPS = 100;

/** The level over time, least to most in every column, so that no pulse disappears at any zoom. */
export function SignalBand(props: SignalBandProps): JSX.Element {
  const { whole, near, bounds, range, chosen, gutterPx, widthPx, onRange, onBack, onChooseAt } = props;
  const [unit, setUnit] = useState<LevelUnit>("dBFS");
  const [cursorSeconds, setCursor] = useState<number>();
  const box = useRef<HTMLDivElement>(null);
  const axis = useMemo(() => whole && levelAxis(whole, unit), [whole, unit]);
  const signals = useMemo(() => [whole, near.body].filter((signal) => signal !== undefined), [whole, near.body]);
  const ticks = useMemo(() => timeTicks(range, widthPx), [range, widthPx]);
  const length = range.toSeconds - range.fromSeconds;
  const x = (seconds: number) => ((seconds - range.fromSeconds) / length) * widthPx;
  const at = cursorSeconds ?? (range.fromSeconds + range.toSeconds) / 2;
  const finest = signals.findLast((signal) => at >= signal.fromSeconds && at < signal.toSeconds);
  const reading = finest && levelWords(finest, at, unit);
  const place = `${at.toFixed(decimalsFor(length / STEPS / 10))}\u202fs`;

  useGestures(box, {
    range,
    bounds,
    leftPx: 0,
    widthPx,
    onRange,
    onPress(xPx) {
      const seconds = range.fromSeconds + (xPx / widthPx) * length;
      setCursor(seconds);
      onChooseAt(seconds);
    },
  });
  // The cursor stays in what is shown.
  useEffect(() => {
    setCursor((before) =>
      before === undefined || (before >= range.fromSeconds && before <= range.toSeconds) ? before : undefined,
    );
  }, [range]);

  const step = (by: number) => {
    const next = Math.min(bounds.seconds, Math.max(0, at + by * length));
    setCursor(next);
    if (next < range.fromSeconds) onRange(moved(range, -0.25, bounds));
    if (next > range.toSeconds) onRange(moved(range, 0.25, bounds));
  };
  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const stride = (event.shiftKey ? 10 : 1) / STEPS;
    const asRange = rangeByKey(zoomKey(event.key), range, bounds, at);
    if (event.key === "ArrowLeft") step(-stride);
    else if (event.key === "ArrowRight") step(stride);
    else if (event.key === "Home") setCursor(range.fromSeconds);
    else if (event.key === "End") setCursor(range.toSeconds);
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
      howToRead={
        <>
          <p>
            Upwards the level, in decibels below the receiver's full scale (dBFS) or as a share of it; to the right the
            time. Each column reaches from the least to the most level in it: no sample is left out, however far away
            one looks. The frame that is chosen below stands between two marks.
          </p>
          <p>
            Drag to move. Two fingers, or after a press into the drawing the wheel, go closer and wider; Ctrl and the
            wheel do so at once. With the keyboard: left and right read the level at a moment, up and down go closer and
            wider there, Enter chooses the frame there, Backspace goes back.
          </p>
        </>
      }
      table={() => <LevelTable signals={signals} range={range} unit={unit} />}
    >
      <div class="signal" style={{ paddingLeft: `${gutterPx}px` }}>
        <div
          ref={box}
          class="drawing"
          role="slider"
          tabIndex={0}
          aria-label="The level at a moment"
          aria-valuemin={Number(range.fromSeconds.toFixed(6))}
          aria-valuemax={Number(range.toSeconds.toFixed(6))}
          aria-valuenow={Number(at.toFixed(6))}
          aria-valuetext={`at ${place}: ${reading ?? "no level is known"}`}
          onKeyDown={key}
        >
          {axis && <Envelope signals={signals} range={range} axis={axis} widthPx={widthPx} heightPx={HEIGHT_PX} />}
          <svg class="over" width={widthPx} height={HEIGHT_PX + AXIS_PX} aria-hidden="true">
            {axis &&
              levelTicks(axis, HEIGHT_PX).map((tick) => (
                <g key={tick.label} class="level-axis">
                  <line class="grid-line" x1={0} x2={widthPx} y1={tick.y} y2={tick.y} />
                  <text x={-8} y={Math.max(9, tick.y)} dy="0.32em" text-anchor="end">
                    {tick.label}
                  </text>
                </g>
              ))}
            <TimeAxis ticks={ticks} widthPx={widthPx} y={HEIGHT_PX} reachPx={0} />
            {chosen && chosen.toSeconds > range.fromSeconds && chosen.fromSeconds < range.toSeconds && (
              <path class="chosen-span" d={spanPath(x(chosen.fromSeconds), x(chosen.toSeconds), widthPx)} />
            )}
            {cursorSeconds !== undefined && <line class="cursor" x1={x(at)} x2={x(at)} y1={0} y2={HEIGHT_PX} />}
          </svg>
          <div class="axis-room" style={{ height: `${AXIS_PX}px` }} />
        </div>
      </div>
      {near.problem && <ProblemNote problem={near.problem} again={near.again} />}
      <div class="signal-foot">
        <p class="caption">
          Level in {unit === "dBFS" ? "dBFS" : "shares of full scale"} over seconds from the first sample
          {reading === undefined ? "" : `; at ${place}: ${reading}`}
        </p>
        <button
          type="button"
          class="button small"
          aria-pressed={unit === "share"}
          onClick={() => setUnit(unit === "dBFS" ? "share" : "dBFS")}
        >
          Level as a share
        </button>
      </div>
    </Band>
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

function zoomKey(key: string): string {
  return key === "ArrowUp" ? "+" : key === "ArrowDown" ? "-" : key;
}
