import type { JSX } from "preact";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import {
  bandPath,
  inLane,
  type Lane,
  lettersAt,
  louderDbOf,
  momentWords,
  onAxis,
  type SharedAxis,
  sharedTicks,
} from "../../model/compare/overlay.ts";
import type { Picked } from "../../model/compare/picked.ts";
import type { Place } from "../../model/compare/places.ts";
import { figure, listed } from "../../model/quantities.ts";
import { closeUp, moved, type TimeRange } from "../../model/recording/range.ts";
import { rangeByKey } from "../../model/recording/rangeKeys.ts";
import { levelAxis, levelIn, levelParts, levelTicks, levelWords } from "../../model/recording/signalDrawing.ts";
import { ProblemNote } from "../ProblemNote.tsx";
import { Band } from "../recording/Band.tsx";
import { AXIS_PX, TimeAxis } from "../recording/TimeAxis.tsx";
import { useGestures } from "../recording/useGestures.ts";
import { Table } from "../Table.tsx";
import { sharedRangeWords } from "./SharedRangeBar.tsx";
import { useLaneSignals } from "./useLaneSignals.ts";

interface OverlayBandProps {
  readonly these: readonly (Picked & { readonly at: number })[];
  /** What lies at zero, of each. */
  readonly places: readonly Place[];
  readonly lanes: readonly Lane[];
  readonly axis: SharedAxis;
  readonly range: TimeRange;
  readonly gutterPx: number;
  readonly widthPx: number;
  readonly onRange: (range: TimeRange) => void;
  readonly onBack: () => void;
}

const OVER_PX = 200;
const LANE_PX = 84;
const LANE_GAP_PX = 8;
const LETTER_PX = 16;
const WHOLE_COLUMNS = 1000;
/** A press of an arrow key moves the cursor by this part of what is shown, with Shift by ten. */
const STEPS = 200;

/** The signals of all on one time axis: over each other, or one below the other. */
export function OverlayBand(props: OverlayBandProps): JSX.Element {
  const { these, places, lanes, axis, range, gutterPx, widthPx, onRange, onBack } = props;
  const { bounds, leadSeconds } = axis;
  const [apart, setApart] = useState(false);
  const [evened, setEvened] = useState(false);
  const [cursorSeconds, setCursor] = useState<number>();
  const box = useRef<HTMLDivElement>(null);
  const length = range.toSeconds - range.fromSeconds;

  const wholes = useLaneSignals(
    these.map(({ recording }) => ({
      hash: recording.hash,
      range: { fromSeconds: 0, toSeconds: recording.seconds },
    })),
    WHOLE_COLUMNS,
  );
  // Two pixels a column: over each other, finer outlines are not told apart.
  const columns = Math.max(100, 50 * Math.ceil(widthPx / 100));
  const near = useLaneSignals(
    these.map(({ recording }, i) => {
      const lane = lanes[i];
      return { hash: recording.hash, range: lane && inLane(range, lane, axis) };
    }),
    columns,
  );
  const signals = these.map((_, i) => finest(near.bodies[i], wholes.bodies[i], lanes[i], range, axis));
  const louder = evened
    ? louderDbOf(these.map(({ frame }) => frame?.burst.levelDbfs ?? undefined))
    : these.map(() => 0);
  const level = useMemo(() => {
    const most = wholes.bodies.flatMap((body) => body?.most ?? []);
    return most.length === 0 ? undefined : levelAxis({ most }, "dBFS");
  }, [wholes.bodies]);

  const heightPx = apart ? these.length * (LANE_PX + LANE_GAP_PX) : OVER_PX;
  const boxOf = (i: number) =>
    apart
      ? { widthPx, topPx: i * (LANE_PX + LANE_GAP_PX), heightPx: LANE_PX }
      : { widthPx, topPx: 0, heightPx: OVER_PX };
  const x = (seconds: number) => ((seconds - range.fromSeconds) / length) * widthPx;
  const at = cursorSeconds ?? Math.min(range.toSeconds, Math.max(range.fromSeconds, leadSeconds));
  const place = momentWords(at, axis, length / STEPS / 10);
  const readings = these.map((one, i) => {
    const [signal, lane] = [signals[i], lanes[i]];
    const words = signal && lane && levelWords(signal, at - leadSeconds + lane.zeroSeconds, "dBFS");
    return `${one.letter} ${words ?? (wholes.bodies[i] ? "nothing there" : "not at hand yet")}`;
  });
  const ends = these.map((_, i) => {
    const { topPx, heightPx: high } = boxOf(i);
    const body = signals[i];
    const last = body && lastIn(body, lanes[i], range, axis);
    if (apart || level === undefined || last === undefined) return topPx + high / 2;
    const share = (levelIn("dBFS", last) + (louder[i] ?? 0) - level.bottom) / (level.top - level.bottom);
    return Math.min(high - LETTER_PX / 2, Math.max(LETTER_PX / 2, topPx + high * (1 - share)));
  });
  const letterYs = lettersAt(ends, LETTER_PX);

  useGestures(box, {
    range,
    bounds,
    leftPx: 0,
    widthPx,
    onRange,
    onPress: (xPx) => setCursor(range.fromSeconds + (xPx / widthPx) * length),
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
    const named = event.key === "ArrowUp" ? "+" : event.key === "ArrowDown" ? "-" : event.key;
    const asRange = rangeByKey(named, range, bounds, at);
    if (event.key === "ArrowLeft") step(-stride);
    else if (event.key === "ArrowRight") step(stride);
    else if (event.key === "Home") setCursor(range.fromSeconds);
    else if (event.key === "End") setCursor(range.toSeconds);
    else if (asRange === "back") onBack();
    else if (asRange !== undefined) onRange(asRange);
    else return;
    event.preventDefault();
  };

  return (
    <Band
      name="the signals"
      heading={heading(these)}
      howToRead={
        <>
          <p>
            Each outline is one signal: along its top the most, along its bottom the least level of every column, so
            that no sample is left out. The letter at the right end says whose it is. All are drawn over the same time;
            the upright line at zero is what they are lined up on.
          </p>
          <p>
            Drag to move. Two fingers, or after a press into the drawing the wheel, go closer and wider. With the
            keyboard: left and right read the levels at a moment, up and down go closer and wider there, 0 shows the
            whole recordings, Backspace goes back.
          </p>
        </>
      }
      table={() => <LevelsTable these={these} signals={signals} lanes={lanes} axis={axis} range={range} />}
    >
      <div class="overlay" style={{ paddingLeft: `${gutterPx}px` }}>
        <div
          ref={box}
          class="drawing"
          role="slider"
          tabIndex={0}
          aria-label="The levels at a moment"
          aria-valuemin={Number((range.fromSeconds - leadSeconds).toFixed(6))}
          aria-valuemax={Number((range.toSeconds - leadSeconds).toFixed(6))}
          aria-valuenow={Number((at - leadSeconds).toFixed(6))}
          aria-valuetext={`at ${place}: ${readings.join(", ")}`}
          style={{ width: `${widthPx}px` }}
          onKeyDown={key}
        >
          <svg width={widthPx} height={heightPx + AXIS_PX} aria-hidden="true">
            {level &&
              these.map((one, i) => {
                const { topPx, heightPx: high } = boxOf(i);
                if (i > 0 && !apart) return null;
                return (
                  <g key={one.at} class="level-axis" transform={`translate(0 ${topPx})`}>
                    {levelTicks(level, high).map((tick) => (
                      <g key={tick.label}>
                        <line class="grid-line" x1={0} x2={widthPx} y1={tick.y} y2={tick.y} />
                        <text x={-8} y={Math.max(9, tick.y)} dy="0.32em" text-anchor="end">
                          {tick.label}
                        </text>
                      </g>
                    ))}
                  </g>
                );
              })}
            <TimeAxis ticks={sharedTicks(range, axis, widthPx)} widthPx={widthPx} y={heightPx} reachPx={0} />
            {level &&
              these.map((one, i) => {
                const [signal, lane] = [signals[i], lanes[i]];
                if (!signal || !lane) return null;
                const own = {
                  fromSeconds: range.fromSeconds - leadSeconds + lane.zeroSeconds,
                  toSeconds: range.toSeconds - leadSeconds + lane.zeroSeconds,
                };
                return (
                  <path
                    key={one.at}
                    class={`band-line ink-line-${one.at}`}
                    d={bandPath(signal, own, level, boxOf(i), louder[i])}
                  />
                );
              })}
            {leadSeconds >= range.fromSeconds && leadSeconds <= range.toSeconds && (
              <line class="zero-line" x1={x(leadSeconds)} x2={x(leadSeconds)} y1={0} y2={heightPx} />
            )}
            {cursorSeconds !== undefined && <line class="cursor" x1={x(at)} x2={x(at)} y1={0} y2={heightPx} />}
            {these.map((one, i) => (
              <text key={one.at} class="end-letter" x={widthPx + 7} y={letterYs[i]} dy="0.35em">
                {one.letter}
              </text>
            ))}
          </svg>
        </div>
      </div>
      {near.problem && <ProblemNote problem={near.problem} again={near.again} />}
      {wholes.problem && <ProblemNote problem={wholes.problem} again={wholes.again} />}
      <p class="caption" aria-live="polite">
        {`Level in dBFS over time from zero; at ${place}: ${readings.join(", ")}`}
      </p>
      <div class="signal-foot">
        <ul class="at-zero" aria-label="What lies at zero">
          {these.map((one, i) => (
            <li key={one.at} class="caption">
              {`${one.letter}: ${places[i]?.says ?? ""}, ${figure(places[i]?.atSeconds ?? 0, 6)}\u202fs into ${one.recording.name}${
                evened && (louder[i] ?? 0) > 0 ? `; raised by ${figure(louder[i] ?? 0, 1)}\u202fdB` : ""
              }`}
            </li>
          ))}
        </ul>
        <p class="form-foot">
          <button type="button" class="button small" aria-pressed={evened} onClick={() => setEvened(!evened)}>
            Bursts equally strong
          </button>
          <button type="button" class="button small" aria-pressed={apart} onClick={() => setApart(!apart)}>
            One below the other
          </button>
          {these.map((one, i) => {
            const lane = lanes[i];
            if (!one.frame || !lane) return null;
            const part = onAxis(one.frame, lane, axis);
            return (
              <button key={one.at} type="button" class="button small" onClick={() => onRange(closeUp(part, bounds))}>
                {`Show ${one.letter} large`}
              </button>
            );
          })}
        </p>
      </div>
    </Band>
  );
}

function heading(these: OverlayBandProps["these"]): string {
  const levels = these.flatMap(({ letter, frame }) =>
    frame?.burst.levelDbfs == null ? [] : [`${letter} at ${figure(frame.burst.levelDbfs, 1)}`],
  );
  return levels.length === 0
    ? "The signals over the same time"
    : `The bursts over the same time: ${listed(levels)}\u202fdBFS`;
}

/** The near look where it shows all that is in sight, else the whole recording's. */
function finest(
  near: SignalBody | undefined,
  whole: SignalBody | undefined,
  lane: Lane | undefined,
  range: TimeRange,
  axis: SharedAxis,
): SignalBody | undefined {
  const part = lane && inLane(range, lane, axis);
  if (!part) return undefined;
  const covers = near && near.fromSeconds <= part.fromSeconds + 1e-6 && near.toSeconds >= part.toSeconds - 1e-6;
  return covers ? near : whole;
}

/** The strongest level in the last column that is in sight. */
function lastIn(signal: SignalBody, lane: Lane | undefined, range: TimeRange, axis: SharedAxis): number | undefined {
  const part = lane && inLane(range, lane, axis);
  if (!part) return undefined;
  const perColumn = (signal.toSeconds - signal.fromSeconds) / signal.columns;
  const i = Math.min(signal.columns - 1, Math.max(0, Math.ceil((part.toSeconds - signal.fromSeconds) / perColumn) - 1));
  return signal.most[i];
}

const PARTS = 20;

interface LevelsTableProps extends Pick<OverlayBandProps, "these" | "lanes" | "axis" | "range"> {
  readonly signals: readonly (SignalBody | undefined)[];
}

function LevelsTable({ these, signals, lanes, axis, range }: LevelsTableProps): JSX.Element {
  const step = (range.toSeconds - range.fromSeconds) / PARTS;
  const parts = Array.from({ length: PARTS }, (_, i) => ({
    fromSeconds: range.fromSeconds + i * step,
    toSeconds: range.fromSeconds + (i + 1) * step,
  }));
  const wordsAt = (i: number, part: TimeRange) => {
    const [signal, lane] = [signals[i], lanes[i]];
    const own = lane && inLane(part, lane, axis);
    return signal && own ? (levelParts([signal], own, 1, "dBFS")[0]?.words ?? "not told") : "nothing there";
  };
  return (
    <Table
      caption={`The levels from ${sharedRangeWords(range, axis)}, in twenty parts`}
      rows={parts}
      keyOf={({ fromSeconds }) => String(fromSeconds)}
      empty={{ says: "The levels are not at hand yet.", action: { label: "All recordings", href: "/recordings" } }}
      columns={[
        { name: "Time from zero", cell: (part) => sharedRangeWords(part, axis) },
        ...these.map((one, i) => ({ name: one.letter, cell: (part: TimeRange) => wordsAt(i, part) })),
      ]}
    />
  );
}
