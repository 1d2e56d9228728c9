import type { JSX } from "preact";
import type { CellShape } from "../../model/class/boardWords.ts";

/** The shape of a cell's state: empty, half, wedge, full, ring. A word always stands beside it. */
export function CellMark({ shape }: { readonly shape: CellShape }): JSX.Element {
  return (
    <svg class="cell-shape" viewBox="0 0 16 16" aria-hidden="true">
      {DRAWN[shape]}
    </svg>
  );
}

const line = { fill: "none", stroke: "currentColor", "stroke-width": 2 };
const full = { fill: "currentColor" };

const DRAWN: Readonly<Record<CellShape, JSX.Element>> = {
  "not begun": <path d="M4 8h8" {...line} />,
  looking: (
    <>
      <circle cx="8" cy="8" r="6" {...line} />
      <path d="M8 2a6 6 0 0 1 0 12z" {...full} />
    </>
  ),
  stuck: <path d="M8 1.500l7 13H1z" {...full} />,
  solved: <path d="M2 8.500l4 4.500 8-10" {...line} stroke-width="3" />,
  shown: <path d="M3 3h10v10H3z" {...line} />,
};
