import type { JSX } from "preact";
import type { Curves } from "../model/curves.ts";
import { ChartFrame, chartX, chartY } from "./ChartFrame.tsx";

const LETTERS = "ABCDE";

/** Curves over time, each with a letter at its end; what they show stands in a table as well. */
export function CurvesView({ curves, label }: { readonly curves: Curves; readonly label: string }): JSX.Element {
  return (
    <svg class="curves" role="img" aria-label={label}>
      <ChartFrame xTicks={curves.xTicks} yTicks={curves.yTicks} />
      {curves.levels.map(({ at, words, kind }) => (
        <g key={`${kind} ${at}`}>
          <line class={`level-${kind}`} x1="0" x2="100%" y1={chartY(at)} y2={chartY(at)} />
          <text x="99%" y={chartY(at)} dy="-3" text-anchor="end">
            {words}
          </text>
        </g>
      ))}
      {curves.curves.map(({ position, ink, stretches, end }) => (
        <g key={position} class={`ink-${ink}`}>
          {stretches.map((stretch) =>
            stretch
              .slice(1)
              .map((point, i) => (
                <line
                  key={`${point.x} ${point.y}`}
                  x1={chartX(stretch[i]?.x ?? 0)}
                  y1={chartY(stretch[i]?.y ?? 0)}
                  x2={chartX(point.x)}
                  y2={chartY(point.y)}
                />
              )),
          )}
          {stretches.flat().map((point) => (
            <circle key={`${point.x} ${point.y}`} cx={chartX(point.x)} cy={chartY(point.y)} r="3" />
          ))}
          <text x={chartX(end.x)} y={chartY(end.y)} dx="7" dy="5" class="curve-letter">
            {LETTERS[ink]}
          </text>
        </g>
      ))}
    </svg>
  );
}
