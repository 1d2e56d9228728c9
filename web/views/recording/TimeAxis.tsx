import type { JSX } from "preact";
import type { TimeTick } from "../../model/recording/timeTicks.ts";

interface TimeAxisProps {
  readonly ticks: readonly TimeTick[];
  readonly widthPx: number;
  /** Where the axis stands. */
  readonly y: number;
  /** How far the ticks reach up, as thin lines across the drawing. */
  readonly reachPx: number;
}

/** The ruler that all drawings of a recording share. */
export function TimeAxis({ ticks, widthPx, y, reachPx }: TimeAxisProps): JSX.Element {
  return (
    <g class="time-axis">
      {ticks.map((tick) => (
        <g key={tick.x}>
          <line class="grid-line" x1={tick.x} x2={tick.x} y1={y - reachPx} y2={y} />
          <line class="axis-tick" x1={tick.x} x2={tick.x} y1={y} y2={y + 5} />
          <text x={tick.x} y={y + 19} text-anchor="middle">
            {tick.label}
          </text>
        </g>
      ))}
      <line class="scale-line" x1={0} x2={widthPx} y1={y} y2={y} />
    </g>
  );
}

/** Height that the axis takes below its line. */
export const AXIS_PX = 24;
