import type { JSX } from "preact";
import type { PressureMarks, PressureScale } from "../model/pressureScale.ts";

/** One wheel on the scale that all wheels share. What it shows stands in words beside it. */
export function PressureLine({ marks }: { readonly marks: PressureMarks }): JSX.Element {
  const { placardAt, lampAt, readingAt, bandAt } = marks;
  return (
    <svg class={readingAt === undefined ? "pressure-line pressure-line-none" : "pressure-line"} aria-hidden="true">
      <line class="scale-line" x1="0" x2="100%" y1="50%" y2="50%" />
      {lampAt !== undefined && <line class="lamp-tick" x1={at(lampAt)} x2={at(lampAt)} y1="50%" y2="82%" />}
      {placardAt !== undefined && <line class="placard-tick" x1={at(placardAt)} x2={at(placardAt)} y1="8%" y2="92%" />}
      {bandAt !== undefined && <line class="band" x1={at(bandAt[0])} x2={at(bandAt[1])} y1="50%" y2="50%" />}
      {readingAt !== undefined && <circle class="reading" cx={at(readingAt)} cy="50%" r="5" />}
    </svg>
  );
}

/** The figures of the scale, once above all lines. */
export function PressureAxis({ scale }: { readonly scale: PressureScale }): JSX.Element {
  return (
    <svg class="pressure-axis" aria-hidden="true">
      {scale.ticks.map(({ at: fraction, label }) => (
        <g key={label}>
          <line class="axis-tick" x1={at(fraction)} x2={at(fraction)} y1="75%" y2="100%" />
          <text x={at(fraction)} y="60%" text-anchor={fraction < 0.03 ? "start" : fraction > 0.97 ? "end" : "middle"}>
            {label}
          </text>
        </g>
      ))}
    </svg>
  );
}

function at(fraction: number): string {
  return `${(fraction * 100).toFixed(2)}%`;
}
