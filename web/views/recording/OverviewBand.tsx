import type { ComponentChildren, JSX } from "preact";
import { useMemo, useRef, useState } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import { useKeys } from "../../device.ts";
import type { KeyMap } from "../../model/keyMap.ts";
import { figure } from "../../model/quantities.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { frameTicks, gripAt, insideWords, overviewHeading, tenths, ticksPath } from "../../model/recording/overview.ts";
import { type Bounds, between, fitted, moved, rangeWords, type TimeRange } from "../../model/recording/range.ts";
import { rangeByAction, rangeByKey } from "../../model/recording/rangeKeys.ts";
import { type LevelAxis, levelIn } from "../../model/recording/signalDrawing.ts";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { Envelope } from "./Envelope.tsx";
import type { RangeProps } from "./rangeProps.ts";
import { TimePointers } from "./TimePointers.tsx";

interface OverviewBandProps extends RangeProps {
  readonly frames: readonly Frame[];
  /** The level of the whole recording. */
  readonly signal: SignalBody | undefined;
  readonly axis: LevelAxis | undefined;
  /** Further rows of ticks, below the frames. */
  readonly rows?: ComponentChildren;
}

const ENVELOPE_PX = 44;
const TICKS_PX = 16;
const HEIGHT_PX = ENVELOPE_PX + TICKS_PX;
const GRIP_REACH_PX = 22;

/** What the keys hold of the stretch. Enter goes on to the next, so that all three are one stop of the Tab key. */
const HELD = ["all", "start", "end"] as const;
const HELD_WORDS = {
  all: "The stretch that is shown below",
  start: "Where what is shown begins",
  end: "Where what is shown ends",
} as const;

/** All of the recording at once, and on it, between two handles, what is shown below. */
export function OverviewBand(props: OverviewBandProps): JSX.Element {
  const { frames, signal, axis, bounds, range, widthPx, cursorSeconds, marks, onRange, onBack } = props;
  const [held, setHeld] = useState<(typeof HELD)[number]>("all");
  const box = useRef<HTMLDivElement>(null);
  const keys = useKeys();
  const brush = useBrush(box, props);
  const signals = useMemo(() => (signal ? [signal] : []), [signal]);
  const whole = useMemo(() => ({ fromSeconds: 0, toSeconds: bounds.seconds }), [bounds]);
  const ticks = useMemo(() => frameTicks(frames, bounds.seconds, widthPx), [frames, bounds, widthPx]);
  const [from, to] = edges(range, bounds, widthPx);

  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      setHeld(HELD[(HELD.indexOf(held) + 1) % HELD.length] ?? "all");
      return;
    }
    const next = held === "all" ? keyed(event, range, bounds, keys) : handleKeyed(event, held, range, bounds, keys);
    if (next === undefined) return;
    event.preventDefault();
    if (next === "back") onBack();
    else onRange(next);
  };
  const heldSeconds =
    held === "start" ? range.fromSeconds : held === "end" ? range.toSeconds : (range.fromSeconds + range.toSeconds) / 2;

  return (
    <Band
      name="the overview"
      heading={overviewHeading(frames, bounds.seconds)}
      howToRead={
        <>
          <p>
            From left to right all of the recording, drawn as the least and the most level of each column. The ticks
            below are its bursts: a long one was read, a short one was not.
          </p>
          <p>
            What lies between the two handles is shown below. Drag a handle, or what is between them. With the keyboard:
            arrows move it, plus and minus make it shorter and longer, 0 is the whole recording, Backspace goes back.
            Enter takes hold of its start, then of its end, then of all of it again.
          </p>
        </>
      }
      table={() => (
        <Table
          caption="The recording in tenths"
          rows={tenths(frames, bounds.seconds, signal)}
          keyOf={({ fromSeconds }) => String(fromSeconds)}
          empty={{ says: "The recording has no length.", action: { label: "All recordings", href: "/recordings" } }}
          columns={[
            { name: "Time", cell: (tenth) => rangeWords(tenth) },
            { name: "Bursts", figures: true, cell: ({ bursts }) => bursts },
            { name: "Not read", figures: true, cell: ({ unread }) => unread },
            {
              name: "Strongest, dBFS",
              figures: true,
              cell: ({ strongest }) => (strongest === undefined ? "not told" : figure(levelIn("dBFS", strongest), 1)),
            },
          ]}
        />
      )}
    >
      <div
        ref={box}
        class="drawing overview"
        role="slider"
        data-keys="overview"
        tabIndex={0}
        aria-label={HELD_WORDS[held]}
        aria-valuemin={0}
        aria-valuemax={Number(bounds.seconds.toFixed(6))}
        aria-valuenow={Number(heldSeconds.toFixed(6))}
        aria-valuetext={`${rangeWords(range)} of ${bounds.seconds.toFixed(2)} s: ${insideWords(frames, range)}`}
        onKeyDown={key}
        {...brush}
      >
        {axis && <Envelope signals={signals} range={whole} axis={axis} widthPx={widthPx} heightPx={ENVELOPE_PX} />}
        <svg class="over" width={widthPx} height={HEIGHT_PX} aria-hidden="true">
          {(["solid", "hollow", "dotted"] as const).map((look) => (
            <path
              key={look}
              class={`tick tick-${look}`}
              d={ticksPath(ticks, look, ENVELOPE_PX + 3, look === "solid" ? HEIGHT_PX : HEIGHT_PX - 6)}
            />
          ))}
          <TimePointers
            range={whole}
            widthPx={widthPx}
            heightPx={ENVELOPE_PX}
            cursorSeconds={cursorSeconds}
            marks={marks}
          />
          <rect class="veil" x={0} y={0} width={from} height={HEIGHT_PX} />
          <rect class="veil" x={to} y={0} width={Math.max(0, widthPx - to)} height={HEIGHT_PX} />
          <path class="brush" d={`M${from} 1H${to}M${from} ${HEIGHT_PX - 1}H${to}`} />
          {[from, to].map((x, i) => (
            <rect
              key={i}
              class={held === (i === 0 ? "start" : "end") ? "grip grip-held" : "grip"}
              x={Math.min(widthPx - 8, Math.max(0, x - 4))}
              y={8}
              width={8}
              height={28}
            />
          ))}
        </svg>
      </div>
      {props.rows}
    </Band>
  );
}

function keyed(event: KeyboardEvent, range: TimeRange, bounds: Bounds, keys: KeyMap): TimeRange | "back" | undefined {
  const length = range.toSeconds - range.fromSeconds;
  switch (event.key) {
    case "ArrowLeft":
      return moved(range, -0.1, bounds);
    case "ArrowRight":
      return moved(range, 0.1, bounds);
    case "ArrowUp":
      return rangeByAction("range.closer", range, bounds);
    case "ArrowDown":
      return rangeByAction("range.wider", range, bounds);
    case "Home":
      return { fromSeconds: 0, toSeconds: length };
    case "End":
      return { fromSeconds: bounds.seconds - length, toSeconds: bounds.seconds };
    default:
      return rangeByKey(event, range, bounds, undefined, keys);
  }
}

/** One end of the stretch moves by a fiftieth of what is shown, with Shift by a tenth of it. */
function handleKeyed(
  event: KeyboardEvent,
  held: "start" | "end",
  range: TimeRange,
  bounds: Bounds,
  keys: KeyMap,
): TimeRange | "back" | undefined {
  const { key, shiftKey } = event;
  const step = (shiftKey ? 0.1 : 0.02) * (range.toSeconds - range.fromSeconds);
  const at = held === "start" ? range.fromSeconds : range.toSeconds;
  const least = held === "start" ? 0 : range.fromSeconds + bounds.leastSeconds;
  const most = held === "start" ? range.toSeconds - bounds.leastSeconds : bounds.seconds;
  const to = {
    ArrowLeft: at - step,
    ArrowDown: at - step,
    ArrowRight: at + step,
    ArrowUp: at + step,
    Home: least,
    End: most,
  }[key];
  if (to === undefined) return rangeByKey(event, range, bounds, at, keys);
  const kept = Math.min(most, Math.max(least, to));
  return held === "start" ? between(kept, range.toSeconds, bounds) : between(range.fromSeconds, kept, bounds);
}

function edges(range: TimeRange, { seconds }: Bounds, widthPx: number): [number, number] {
  return [(range.fromSeconds / seconds) * widthPx, (range.toSeconds / seconds) * widthPx];
}

function useBrush(
  box: { readonly current: HTMLDivElement | null },
  { bounds, range, widthPx, onRange }: OverviewBandProps,
) {
  const held = useRef<{ grip: "from" | "to" | "between"; at: number; range: TimeRange }>(undefined);
  const seconds = (event: PointerEvent) => {
    const left = box.current?.getBoundingClientRect().left ?? 0;
    return ((event.clientX - left) / widthPx) * bounds.seconds;
  };
  return {
    onPointerDown(event: PointerEvent) {
      if (event.button !== 0) return;
      const at = seconds(event);
      const grip = gripAt((at / bounds.seconds) * widthPx, edges(range, bounds, widthPx), GRIP_REACH_PX);
      box.current?.setPointerCapture(event.pointerId);
      if (grip !== undefined) {
        held.current = { grip, at, range };
        return;
      }
      // Beside the brush: it comes there.
      const half = (range.toSeconds - range.fromSeconds) / 2;
      const there = fitted({ fromSeconds: at - half, toSeconds: at + half }, bounds);
      held.current = { grip: "between", at, range: there };
      onRange(there);
    },
    onPointerMove(event: PointerEvent) {
      const start = held.current;
      if (!start) return;
      const at = seconds(event);
      const { fromSeconds, toSeconds } = start.range;
      if (start.grip === "from") onRange(between(at, toSeconds, bounds));
      else if (start.grip === "to") onRange(between(fromSeconds, at, bounds));
      else {
        const by = at - start.at;
        onRange(fitted({ fromSeconds: fromSeconds + by, toSeconds: toSeconds + by }, bounds));
      }
    },
    onPointerUp() {
      held.current = undefined;
    },
    onPointerCancel() {
      held.current = undefined;
    },
  };
}
