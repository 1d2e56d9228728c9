import type { JSX } from "preact";
import { LANE, type SymbolLane } from "../../model/recording/symbolLane.ts";

/** Symbols and fields of the chosen frame, below the signal that they were cut from. */
export function SymbolLaneView({ lane, topPx }: { readonly lane: SymbolLane; readonly topPx: number }): JSX.Element {
  return (
    <g class="symbol-lane" transform={`translate(0 ${topPx})`}>
      {lane.ribbon !== undefined && <path class="ribbon" d={lane.ribbon} />}
      <path class="doubt" d={lane.doubts} />
      {lane.fields.map(({ at, x, width, name, isChosen }) => (
        <g key={at} class={isChosen ? "lane-field lane-chosen" : "lane-field"}>
          <path class="brace" d={`M${x + 0.5} ${LANE.fieldY - 4}v4H${x + width - 0.5}v-4`} />
          <text x={x + width / 2} y={LANE.fieldY + 14} text-anchor="middle">
            {name}
          </text>
        </g>
      ))}
    </g>
  );
}
