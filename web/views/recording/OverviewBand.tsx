import type { JSX } from "preact";
import { useMemo, useRef } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import { figure } from "../../model/quantities.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { frameTicks, gripAt, overviewHeading, tenths } from "../../model/recording/overview.ts";
import { type Bounds, between, fitted, moved, rangeWords, type TimeRange } from "../../model/recording/range.ts";
import { rangeByKey } from "../../model/recording/rangeKeys.ts";
import { type LevelAxis, levelIn } from "../../model/recording/signalDrawing.ts";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { Envelope } from "./Envelope.tsx";
import type { RangeProps } from "./rangeProps.ts";

interface OverviewBandProps extends RangeProps {
  readonly frames: readonly Frame[];
  /** The level of the whole recording. */
  readonly signal: SignalBody | undefined;
  readonly axis: LevelAxis | undefined;
}

const ENVELOPE_PX = 44;
const TICKS_PX = 16;
const HEIGHT_PX = ENVELOPE_PX + TICKS_PX;
const GRIP_REACH_PX = 22;

/** All of the recording at once, and on it, between two handles, what is shown below. */
export function OverviewBand(props: OverviewBandProps): JSX.Element {
  const { frames, signal, axis, bounds, range, widthPx, onRange, onBack } = props;
  const box = useRef<HTMLDivElement>(null);
  const brush = useBrush(box, props);
  const signals = useMemo(() => (signal ? [signal] : []), [signal]);
  const whole = useMemo(() => ({ fromSeconds: 0, toSeconds: bounds.seconds }), [bounds]);
  const ticks = useMemo(() => frameTicks(frames, bounds.seconds, widthPx), [frames, bounds, widthPx]);
  const [from, to] = edges(range, bounds, widthPx);

  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const next = keyed(event.key, range, bounds);
    if (next === undefined) return;
    event.preventDefault();
    if (next === "back") onBack();
    else onRange(next);
  };

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
        tabIndex={0}
        aria-label="The stretch that is shown below"
        aria-valuemin={0}
        aria-valuemax={Number(bounds.seconds.toFixed(6))}
        aria-valuenow={Number(((range.fromSeconds + range.toSeconds) / 2).toFixed(6))}
        aria-valuetext={`${rangeWords(range)} of ${bounds.seconds.toFixed(2)} s`}
        onKeyDown={key}
        {...brush}
      >
        {axis && <Envelope signals={signals} range={whole} axis={axis} widthPx={widthPx} heightPx={ENVELOPE_PX} />}
        <svg class="over" width={widthPx} height={HEIGHT_PX} aria-hidden="true">
          {ticks.map(({ x, look }) => (
            <line
              key={x}
              class={`tick tick-${look}`}
              x1={x + 0.5}
              x2={x + 0.5}
              y1={ENVELOPE_PX + 3}
              y2={look === "solid" ? HEIGHT_PX : HEIGHT_PX - 6}
            />
          ))}
          <rect class="veil" x={0} y={0} width={from} height={HEIGHT_PX} />
          <rect class="veil" x={to} y={0} width={Math.max(0, widthPx - to)} height={HEIGHT_PX} />
          <path class="brush" d={`M${from} 1H${to}M${from} ${HEIGHT_PX - 1}H${to}`} />
          {[from, to].map((x, i) => (
            <rect key={i} class="grip" x={Math.min(widthPx - 8, Math.max(0, x - 4))} y={8} width={8} height={28} />
          ))}
        </svg>
      </div>
    </Band>
  );
}

function keyed(key: string, range: TimeRange, bounds: Bounds): TimeRange | "back" | undefined {
  const length = range.toSeconds - range.fromSeconds;
  switch (key) {
    case "ArrowLeft":
      return moved(range, -0.1, bounds);
    case "ArrowRight":
      return moved(range, 0.1, bounds);
    case "ArrowUp":
      return rangeByKey("+", range, bounds);
    case "ArrowDown":
      return rangeByKey("-", range, bounds);
    case "Home":
      return { fromSeconds: 0, toSeconds: length };
    case "End":
      return { fromSeconds: bounds.seconds - length, toSeconds: bounds.seconds };
    default:
      return rangeByKey(key, range, bounds);
  }
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
