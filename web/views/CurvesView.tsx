import type { JSX } from "preact";
import type { Curves } from "../model/curves.ts";

const LETTERS = "ABCDE";

/** Curves over time, each with a letter at its end; what they show stands in a table as well. */
export function CurvesView({ curves, label }: { readonly curves: Curves; readonly label: string }): JSX.Element {
  return (
    <svg class="curves" role="img" aria-label={label}>
      {curves.yTicks.map(({ at, label: words }) => (
        <g key={words}>
          <line class="grid-line" x1="0" x2="100%" y1={y(at)} y2={y(at)} />
          <text x="2" y={y(at)} dy="-3">
            {words}
          </text>
        </g>
      ))}
      {curves.levels.map(({ at, words, kind }) => (
        <g key={`${kind} ${at}`}>
          <line class={`level-${kind}`} x1="0" x2="100%" y1={y(at)} y2={y(at)} />
          <text x="99%" y={y(at)} dy="-3" text-anchor="end">
            {words}
          </text>
        </g>
      ))}
      {curves.xTicks.map(({ at, label: words }) => (
        <g key={words}>
          <line class="axis-tick" x1={x(at)} x2={x(at)} y1="86%" y2="89%" />
          <text x={x(at)} y="98%" text-anchor="middle">
            {words}
          </text>
        </g>
      ))}
      <line class="scale-line" x1="0" x2="100%" y1="86%" y2="86%" />
      {curves.curves.map(({ position, ink, stretches, end }) => (
        <g key={position} class={`ink-${ink}`}>
          {stretches.map((stretch) =>
            stretch
              .slice(1)
              .map((point, i) => (
                <line
                  key={`${point.x} ${point.y}`}
                  x1={x(stretch[i]?.x ?? 0)}
                  y1={y(stretch[i]?.y ?? 0)}
                  x2={x(point.x)}
                  y2={y(point.y)}
                />
              )),
          )}
          {stretches.flat().map((point) => (
            <circle key={`${point.x} ${point.y}`} cx={x(point.x)} cy={y(point.y)} r="3" />
          ))}
          <text x={x(end.x)} y={y(end.y)} dx="7" dy="5" class="curve-letter">
            {LETTERS[ink]}
          </text>
        </g>
      ))}
    </svg>
  );
}

function x(fraction: number): string {
  return `${(6 + fraction * 88).toFixed(2)}%`;
}

function y(fraction: number): string {
  return `${(84 - fraction * 80).toFixed(2)}%`;
}
