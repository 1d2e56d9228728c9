import type { JSX } from "preact";
import { useMemo, useRef, useState } from "preact/hooks";
import { useKeys } from "../../device.ts";
import { figure } from "../../model/quantities.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { showing } from "../../model/recording/range.ts";
import { rangeByKey } from "../../model/recording/rangeKeys.ts";
import { timeTicks } from "../../model/recording/timeTicks.ts";
import {
  drawnValues,
  MOST_SERIES,
  type ValueChart,
  type ValueDrawing,
  type ValuePoint,
} from "../../model/recording/values.ts";
import { Identity } from "../Identity.tsx";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import type { RangeProps } from "./rangeProps.ts";
import { AXIS_PX, TimeAxis } from "./TimeAxis.tsx";
import { TimePointers } from "./TimePointers.tsx";
import { useGestures } from "./useGestures.ts";

interface ValuesBandProps extends RangeProps {
  readonly chart: ValueChart;
  readonly gutterPx: number;
  /** Shows the frame that a value comes from, with the field it was read from. */
  readonly onValue: (frame: Frame, fieldAt: number | undefined) => void;
}

const HEIGHT_PX = 132;
const PRESS_REACH_PX = 24;

/** One quantity of each sensor over time, as the telegrams told it; where nothing is known, nothing is drawn. */
export function ValuesBand(props: ValuesBandProps): JSX.Element {
  const { chart, bounds, range, gutterPx, widthPx, cursorSeconds, marks } = props;
  const { onRange, onBack, onCursor, onValue } = props;
  const box = useRef<HTMLDivElement>(null);
  const keys = useKeys();
  const drawing = useMemo(() => drawnValues(chart, range, widthPx, HEIGHT_PX), [chart, range, widthPx]);
  const ticks = useMemo(() => timeTicks(range, widthPx), [range, widthPx]);
  const all = useMemo(
    () =>
      chart.series
        .flatMap((series) => series.points.map((point) => ({ series, point })))
        .toSorted((a, b) => a.point.atSeconds - b.point.atSeconds),
    [chart],
  );
  const [activeAt, setActive] = useState(0);
  const active = all[Math.min(activeAt, all.length - 1)];

  useGestures(box, {
    range,
    bounds,
    leftPx: 0,
    widthPx,
    onRange,
    onPress(xPx, yPx) {
      onCursor(range.fromSeconds + (xPx / widthPx) * (range.toSeconds - range.fromSeconds));
      const point = pointAt(drawing, xPx, yPx);
      if (!point) return;
      setActive(all.findIndex((one) => one.point === point));
      onValue(point.frame, point.fieldAt);
    },
  });
  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const to = { ArrowLeft: activeAt - 1, ArrowRight: activeAt + 1, Home: 0, End: all.length - 1 }[event.key];
    const asRange = rangeByKey(event, range, bounds, active?.point.atSeconds, keys);
    if (to !== undefined) {
      const next = Math.min(all.length - 1, Math.max(0, to));
      const point = all[next]?.point;
      setActive(next);
      if (point) {
        onCursor(point.atSeconds);
        onRange(showing(range, point.frame, bounds));
      }
    } else if (event.key === "Enter") {
      if (active) onValue(active.point.frame, active.point.fieldAt);
    } else if (asRange === "back") onBack();
    else if (asRange !== undefined) onRange(asRange);
    else return;
    event.preventDefault();
  };
  const words = active ? pointWords(active.point, active.series.identity, chart) : "no value";

  return (
    <Band
      name={chart.quantity}
      heading={chart.says}
      howToRead={<HowToRead quantity={chart.quantity} />}
      table={() => <ValueTable chart={chart} onValue={onValue} />}
    >
      <div class="signal" style={{ paddingLeft: `${gutterPx}px` }}>
        <div
          ref={box}
          class="drawing"
          role="slider"
          data-keys="values"
          tabIndex={0}
          aria-label={`${chart.quantity === "pressure" ? "Pressure" : "Temperature"}, value by value`}
          aria-valuemin={1}
          aria-valuemax={all.length}
          aria-valuenow={Math.min(activeAt, all.length - 1) + 1}
          aria-valuetext={words}
          onKeyDown={key}
        >
          <svg class="values" width={widthPx} height={HEIGHT_PX + AXIS_PX} aria-hidden="true">
            {drawing.yTicks.map(({ y, label }) => (
              <g key={label} class="level-axis">
                <line class="grid-line" x1={0} x2={widthPx} y1={y} y2={y} />
                <text x={-8} y={Math.max(9, y)} dy="0.32em" text-anchor="end">
                  {label}
                </text>
              </g>
            ))}
            <TimeAxis ticks={ticks} widthPx={widthPx} y={HEIGHT_PX} reachPx={0} />
            {drawing.series.map(({ series, line, band, gaps, dots, end }) => (
              <g key={series.identity} class={`ink-${series.ink}`}>
                <path class="value-band" d={band} />
                <path class="value-line" d={line} />
                <path class="value-gap" d={gaps} />
                <path class="value-dots" d={dotsPath(dots)} />
                {end && (
                  <text class="curve-letter" x={Math.min(widthPx - 10, end.x + 8)} y={end.y - 7}>
                    {series.letter}
                  </text>
                )}
              </g>
            ))}
            <TimePointers
              range={range}
              widthPx={widthPx}
              heightPx={HEIGHT_PX}
              cursorSeconds={cursorSeconds}
              marks={marks}
            />
          </svg>
        </div>
      </div>
      <ul class="value-names">
        {chart.series.slice(0, MOST_SERIES).map(({ identity, letter, ink }) => (
          <li key={identity}>
            <svg class={`swatch ink-${ink}`} width={22} height={12} aria-hidden="true">
              <path class="value-line" d="M0 6H22" />
            </svg>
            <b>{letter}</b> <Identity value={identity} />
          </li>
        ))}
      </ul>
      {chart.series.length > MOST_SERIES && (
        <p class="caption">{`${chart.series.length - MOST_SERIES} more than five cannot be told apart here; the table has all of them.`}</p>
      )}
      <p class="caption">{`${chart.unit} over seconds from the first sample${active ? `; ${words}` : ""}`}</p>
    </Band>
  );
}

function dotsPath(dots: ValueDrawing["series"][number]["dots"]): string {
  // Each a small circle; one that makes no sense is a cross.
  return dots
    .map(({ x, y, point }) =>
      point.plausible
        ? `M${(x - 3.5).toFixed(1)} ${y.toFixed(1)}a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0`
        : `M${(x - 5).toFixed(1)} ${(y - 5).toFixed(1)}l10 10m0 -10l-10 10`,
    )
    .join("");
}

function pointAt(drawing: ValueDrawing, xPx: number, yPx: number): ValuePoint | undefined {
  const near = drawing.series
    .flatMap(({ dots }) => dots)
    .map(({ point, x, y }) => ({ point, away: Math.hypot(x - xPx, y - yPx) }))
    .toSorted((a, b) => a.away - b.away)[0];
  return near && near.away <= PRESS_REACH_PX ? near.point : undefined;
}

function pointWords({ atSeconds, value, half, plausible }: ValuePoint, identity: string, { unit }: ValueChart): string {
  const doubt = plausible ? "" : ", which makes no sense";
  return `${identity} at ${atSeconds.toFixed(3)}\u202fs: ${valueWords(value, half, unit)}${doubt}`;
}

function valueWords(value: number, half: number | undefined, unit: string): string {
  const decimals = unit === "bar" ? 2 : 1;
  const within = half === undefined ? "" : ` ±\u202f${figure(half, half < 0.1 ? 3 : decimals)}`;
  return `${figure(value, decimals)}${within}\u202f${unit}`;
}

interface ValueTableProps {
  readonly chart: ValueChart;
  readonly onValue: ValuesBandProps["onValue"];
}

function ValueTable({ chart, onValue }: ValueTableProps): JSX.Element {
  const rows = chart.series.flatMap((series) => [
    ...series.points.map((point) => ({ series, atSeconds: point.atSeconds, point, gap: undefined })),
    ...series.gaps.map((gap) => ({ series, atSeconds: gap.fromSeconds, point: undefined, gap })),
  ]);
  return (
    <Table
      caption={`${chart.quantity === "pressure" ? "Pressure" : "Temperature"} as the telegrams told it, and where nothing is known`}
      rows={rows.toSorted((a, b) => a.atSeconds - b.atSeconds)}
      keyOf={({ series, atSeconds, gap }) => `${series.identity} ${atSeconds} ${gap ? "gap" : ""}`}
      empty={{ says: "No telegram told it.", action: { label: "All recordings", href: "/recordings" } }}
      columns={[
        {
          name: "At, s",
          figures: true,
          cell: ({ atSeconds, point }) =>
            point ? (
              <button type="button" class="plain-button" onClick={() => onValue(point.frame, point.fieldAt)}>
                {atSeconds.toFixed(4)}
              </button>
            ) : (
              atSeconds.toFixed(4)
            ),
        },
        { name: "Sensor ID", cell: ({ series }) => <Identity value={series.identity} /> },
        {
          name: "Value",
          figures: true,
          cell: ({ point }) => (point ? valueWords(point.value, point.half, chart.unit) : "not known"),
        },
        {
          name: "Remark",
          cell: ({ point, gap }) => gap?.because ?? (point?.plausible === false ? "makes no sense" : "as told"),
        },
      ]}
    />
  );
}

function HowToRead({ quantity }: { readonly quantity: string }): JSX.Element {
  return (
    <>
      <p>
        {`Each dot is one telegram's ${quantity}; copies count once. The pale band reaches half a step of the field to both
        sides: the telegram cannot tell more exactly. What the sensor itself is off by, it does not show. A cross is a
        value that makes no sense.`}
      </p>
      <p>
        A line joins what followed in the usual time. Dots in a row mean a longer silence, and the table says how long.
        Press a dot to see the bits it was made of. With the keyboard: left and right, Home and End, Enter.
      </p>
    </>
  );
}
