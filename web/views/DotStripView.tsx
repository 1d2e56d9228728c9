import type { JSX } from "preact";
import type { DotStrip } from "../model/dotStrip.ts";
import { ChartFrame, chartX, chartY } from "./ChartFrame.tsx";

/** Small dots over time; the same readings stand in a table for those who cannot see them. */
export function DotStripView({ strip, label }: { readonly strip: DotStrip; readonly label: string }): JSX.Element {
  return (
    <svg class="dot-strip" role="img" aria-label={label}>
      <ChartFrame xTicks={strip.xTicks} yTicks={strip.yTicks} />
      {strip.dots.map((dot) => (
        <circle key={`${dot.x} ${dot.y}`} class="reading" cx={chartX(dot.x)} cy={chartY(dot.y)} r="4">
          <title>{dot.title}</title>
        </circle>
      ))}
    </svg>
  );
}
