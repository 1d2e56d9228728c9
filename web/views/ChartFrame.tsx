import type { JSX } from "preact";

interface Tick {
  readonly at: number;
  readonly label: string;
}

interface ChartFrameProps {
  readonly xTicks: readonly Tick[];
  readonly yTicks: readonly Tick[];
}

/** Grid, times and the line below them, for a drawing of values over time. */
export function ChartFrame({ xTicks, yTicks }: ChartFrameProps): JSX.Element {
  return (
    <>
      {yTicks.map(({ at, label }) => (
        <g key={label}>
          <line class="grid-line" x1="0" x2="100%" y1={chartY(at)} y2={chartY(at)} />
          <text x="2" y={chartY(at)} dy="-3">
            {label}
          </text>
        </g>
      ))}
      {xTicks.map(({ at, label }) => (
        <g key={label}>
          <line class="axis-tick" x1={chartX(at)} x2={chartX(at)} y1="84%" y2="88%" />
          <text x={chartX(at)} y="99%" text-anchor="middle">
            {label}
          </text>
        </g>
      ))}
      <line class="scale-line" x1="0" x2="100%" y1="84%" y2="84%" />
    </>
  );
}

/** Where a fraction of the width lies; names at the end of a curve have room behind it. */
export function chartX(fraction: number): string {
  return `${(5 + fraction * 90).toFixed(2)}%`;
}

/** Upwards; the lowest part holds the times. */
export function chartY(fraction: number): string {
  return `${(82 - fraction * 78).toFixed(2)}%`;
}
