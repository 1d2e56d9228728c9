import type { JSX } from "preact";
import type { DotStrip } from "../model/dotStrip.ts";

/** Small dots over time; the same readings stand in a table for those who cannot see them. */
export function DotStripView({ strip, label }: { readonly strip: DotStrip; readonly label: string }): JSX.Element {
  return (
    <svg class="dot-strip" role="img" aria-label={label}>
      {strip.yTicks.map(({ at, label: words }) => (
        <g key={words}>
          <line class="grid-line" x1="0" x2="100%" y1={y(at)} y2={y(at)} />
          <text x="2" y={y(at)} dy="-3">
            {words}
          </text>
        </g>
      ))}
      {strip.xTicks.map(({ at, label: words }) => (
        <g key={words}>
          <line class="axis-tick" x1={x(at)} x2={x(at)} y1="84%" y2="88%" />
          <text x={x(at)} y="99%" text-anchor="middle">
            {words}
          </text>
        </g>
      ))}
      <line class="scale-line" x1="0" x2="100%" y1="84%" y2="84%" />
      {strip.dots.map((dot) => (
        <circle key={`${dot.x} ${dot.y}`} class="reading" cx={x(dot.x)} cy={y(dot.y)} r="4">
          <title>{dot.title}</title>
        </circle>
      ))}
    </svg>
  );
}

function x(fraction: number): string {
  return `${(2 + fraction * 96).toFixed(2)}%`;
}

/** Upwards; the lowest part holds the times. */
function y(fraction: number): string {
  return `${(80 - fraction * 72).toFixed(2)}%`;
}
