import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { freeName, type Mark, type Measured, MOST_NAMED, markCalled, named } from "../../model/recording/marks.ts";
import { type MeasureLine, measureText } from "../../model/recording/measure.ts";
import { CopyButton } from "../CopyButton.tsx";
import { TextField } from "../Fields.tsx";

interface MeasurePanelProps {
  readonly marks: readonly Mark[];
  readonly cursorSeconds: number | undefined;
  readonly snaps: boolean;
  readonly says: string | undefined;
  readonly lines: readonly MeasureLine[];
  readonly onMark: (name: Measured, atSeconds: number) => void;
  readonly onSnaps: (snaps: boolean) => void;
  readonly onNamed: (name: string, atSeconds: number | undefined) => void;
  /** Shows a mark. */
  readonly onShow: (mark: Mark) => void;
}

/** Two marks, what lies between them, and moments that are kept by a name. */
export function MeasurePanel(props: MeasurePanelProps): JSX.Element {
  const { marks, cursorSeconds, snaps, says, lines, onMark, onSnaps, onNamed, onShow } = props;
  const [name, setName] = useState("");
  const [a, b] = [markCalled(marks, "A"), markCalled(marks, "B")];
  const noCursor = cursorSeconds === undefined;
  const full = named(marks).length >= MOST_NAMED;
  const set = (which: Measured) => cursorSeconds !== undefined && onMark(which, cursorSeconds);
  return (
    <section class="measuring" aria-label="Measure between two marks">
      <div class="measuring-acts">
        <button type="button" class="button small" disabled={noCursor} onClick={() => set("A")}>
          Mark A here
        </button>
        <button type="button" class="button small" disabled={noCursor} onClick={() => set("B")}>
          Mark B here
        </button>
        <button type="button" class="button small" aria-pressed={snaps} onClick={() => onSnaps(!snaps)}>
          Come to the nearest edge
        </button>
        {lines.length > 0 && a !== undefined && b !== undefined && (
          <CopyButton label="Copy the measure" text={() => measureText(lines, a, b)} />
        )}
      </div>
      <p class="caption" role="status">
        {says ?? (noCursor ? "Press into the signal; marks are set at the moment that it points at." : "")}
      </p>
      {lines.length > 0 && (
        <dl class="measures">
          {lines.map((line) => (
            <div key={line.name}>
              <dt>{line.name}</dt>
              <dd>{line.value}</dd>
            </div>
          ))}
        </dl>
      )}
      <details>
        <summary>
          {marks.length === 0 ? "Keep a moment by a name" : `Marks: ${named(marks).length} of ${MOST_NAMED} by a name`}
        </summary>
        <form
          class="keep-moment"
          onSubmit={(event) => {
            event.preventDefault();
            if (cursorSeconds === undefined || full) return;
            onNamed(freeName(marks, name), cursorSeconds);
            setName("");
          }}
        >
          <TextField label="Name of this moment" value={name} maxLength={20} onInput={setName} />
          <button type="submit" class="button" disabled={noCursor || full}>
            Keep it
          </button>
        </form>
        {marks.length > 0 && (
          <ul class="mark-list">
            {marks.map((mark) => (
              <li key={mark.name}>
                <b>{mark.name}</b> <span>{`${mark.atSeconds.toFixed(6)}\u202fs`}</span>
                <button
                  type="button"
                  class="button small"
                  aria-label={`Show mark ${mark.name}`}
                  onClick={() => onShow(mark)}
                >
                  Show
                </button>
                <button
                  type="button"
                  class="button small"
                  aria-label={`Take mark ${mark.name} away`}
                  onClick={() => onNamed(mark.name, undefined)}
                >
                  Take away
                </button>
              </li>
            ))}
          </ul>
        )}
      </details>
    </section>
  );
}
