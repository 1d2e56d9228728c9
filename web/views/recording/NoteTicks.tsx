import type { JSX } from "preact";
import type { NoteBody } from "../../../server/http/wire.ts";
import { noteTicks } from "../../model/recording/notes.ts";

interface NoteTicksProps {
  readonly notes: readonly NoteBody[];
  /** Of the whole recording. */
  readonly seconds: number;
  readonly widthPx: number;
}

const HEIGHT_PX = 10;

/** Where notes lie, below the overview: each as a bar as long as what it speaks of. */
export function NoteTicks({ notes, seconds, widthPx }: NoteTicksProps): JSX.Element | null {
  if (notes.length === 0) return null;
  const path = noteTicks(notes, seconds, widthPx)
    .map(({ x, lengthPx }) => `M${x} 1v7m0 -3.5h${Math.max(3, lengthPx)}`)
    .join("");
  return (
    <svg class="note-row" width={widthPx} height={HEIGHT_PX} aria-hidden="true">
      <path class="note-tick" d={path} />
    </svg>
  );
}
