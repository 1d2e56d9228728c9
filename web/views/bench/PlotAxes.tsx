import type { JSX } from "preact";
import type { PlotAxis, PlotBox } from "../../model/bench/plot.ts";

interface PlotAxesProps {
  readonly box: PlotBox;
  readonly across: PlotAxis;
  /** Without it nothing is measured upwards. */
  readonly up?: PlotAxis;
  /** In words, with the unit. */
  readonly acrossName: string;
}

/** Lines, figures and the name of what goes across; what goes upwards is named in the sentence below. */
export function PlotAxes({ box, across, up, acrossName }: PlotAxesProps): JSX.Element {
  const { leftPx, topPx, widthPx, heightPx, rightPx, bottomPx } = box;
  const bottom = heightPx - bottomPx;
  return (
    <g>
      {up?.ticks.map(({ at, label }) => (
        <g key={label}>
          <line class="grid-line" x1={leftPx} x2={widthPx - rightPx} y1={at} y2={at} />
          <text x={leftPx - 8} y={at} dy="0.32em" text-anchor="end">
            {label}
          </text>
        </g>
      ))}
      {across.ticks.map(({ at, label }) => (
        <g key={label}>
          {up === undefined && <line class="grid-line" x1={at} x2={at} y1={topPx} y2={bottom} />}
          <line class="axis-tick" x1={at} x2={at} y1={bottom} y2={bottom + 5} />
          <text x={at} y={bottom + 18} text-anchor="middle">
            {label}
          </text>
        </g>
      ))}
      <line class="scale-line" x1={leftPx} x2={widthPx - rightPx} y1={bottom} y2={bottom} />
      <text x={(leftPx + widthPx - rightPx) / 2} y={bottom + 38} text-anchor="middle">
        {acrossName}
      </text>
    </g>
  );
}
