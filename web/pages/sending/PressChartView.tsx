import type { JSX } from "preact";
import type { PressChart } from "../../model/sending/pressChart.ts";
import { ChartFrame, chartX, chartY } from "../../views/ChartFrame.tsx";
import { Mark } from "../../views/Mark.tsx";

interface PressChartViewProps {
  readonly chart: PressChart;
  /** What there is to see, in a sentence. */
  readonly heading: string;
  readonly next: string | undefined;
  readonly label: string;
  readonly isLookHere: boolean;
}

/** Level from press to press, with the fitted line; the table below has the same figures. */
export function PressChartView({ chart, heading, next, label, isLookHere }: PressChartViewProps): JSX.Element {
  const { dots, missedAt, line, xTicks, yTicks } = chart;
  return (
    <section aria-labelledby="levels">
      <h2 id="levels">{isLookHere ? <Mark strength="look here" words={heading} /> : heading}</h2>
      {next !== undefined && <p>{next}</p>}
      <svg class="dot-strip" role="img" aria-label={`${label}. ${heading}`}>
        <ChartFrame xTicks={xTicks} yTicks={yTicks} />
        {line && (
          <line
            class="fitted-line"
            x1={chartX(line[0].x)}
            y1={chartY(line[0].y)}
            x2={chartX(line[1].x)}
            y2={chartY(line[1].y)}
          />
        )}
        {dots.map(({ number, x, y, clipped }) => (
          <g key={number}>
            <circle class="reading" cx={chartX(x)} cy={chartY(y)} r="5" />
            {clipped && (
              <line class="at-top" x1={chartX(x - 0.03)} x2={chartX(x + 0.03)} y1={chartY(y)} y2={chartY(y)} />
            )}
          </g>
        ))}
        {missedAt.map(({ number, x }) => (
          <text key={number} class="missed-press" x={chartX(x)} y="80%" text-anchor="middle">
            ×
          </text>
        ))}
      </svg>
      <p class="caption">
        From left to right in their order
        {missedAt.length > 0 && "; × brought no level"}
        {dots.some(({ clipped }) => clipped) && "; a dot with a bar: the receiver was overloaded"}
      </p>
    </section>
  );
}
