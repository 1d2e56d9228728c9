import type { JSX } from "preact";
import type { DayStrip } from "../model/receiverDay.ts";

const percent = (share: number) => `${(100 * share).toFixed(3)}%`;

/** A thin strip of 24 hours: solid where it listened, broken where it was away, empty where nothing ran. */
export function DayStripView({ strip }: { readonly strip: DayStrip }): JSX.Element {
  return (
    <figure class="day">
      <svg class="day-strip" role="img" aria-label={strip.says}>
        {strip.parts.map(({ at, width, state, title }) => (
          <g key={at}>
            {state === "listening" && <rect class="day-on" x={percent(at)} width={percent(width)} y="2" height="10" />}
            {state === "away" && <line class="day-away" x1={percent(at)} x2={percent(at + width)} y1="7" y2="7" />}
            {(state === "off" || state === "unknown") && (
              <line class="day-off" x1={percent(at)} x2={percent(at + width)} y1="12" y2="12" />
            )}
            <rect class="day-touch" x={percent(at)} width={percent(width)} y="0" height="14">
              <title>{title}</title>
            </rect>
          </g>
        ))}
        {strip.ticks.map(({ at, label }) => (
          <g key={at}>
            <line class="axis-tick" x1={percent(at)} x2={percent(at)} y1="12" y2="18" />
            <text x={percent(at)} y="31" text-anchor={at < 0.03 ? "start" : at > 0.97 ? "end" : "middle"}>
              {label}
            </text>
          </g>
        ))}
      </svg>
      <figcaption class="caption">{strip.says}</figcaption>
    </figure>
  );
}
