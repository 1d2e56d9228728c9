import type { JSX } from "preact";
import type { Mark } from "../../model/recording/marks.ts";
import type { TimeRange } from "../../model/recording/range.ts";

export interface Pointed {
  /** The moment that all bands point at. */
  readonly cursorSeconds: number | undefined;
  readonly marks: readonly Mark[];
}

interface TimePointersProps extends Pointed {
  readonly range: TimeRange;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Whether names of marks stand at their upper end. */
  readonly named?: boolean;
}

/** The cursor and the marks across a drawing; each band draws them at the same moments. */
export function TimePointers(props: TimePointersProps): JSX.Element {
  const { range, widthPx, heightPx, cursorSeconds, marks, named } = props;
  const x = (seconds: number) => ((seconds - range.fromSeconds) / (range.toSeconds - range.fromSeconds)) * widthPx;
  const inSight = (seconds: number) => seconds >= range.fromSeconds && seconds <= range.toSeconds;
  return (
    <g class="pointers">
      {cursorSeconds !== undefined && inSight(cursorSeconds) && (
        <line class="cursor" x1={x(cursorSeconds)} x2={x(cursorSeconds)} y1={0} y2={heightPx} />
      )}
      {marks
        .filter(({ atSeconds }) => inSight(atSeconds))
        .map(({ name, atSeconds }) => (
          <g key={name} class="mark-line" transform={`translate(${x(atSeconds).toFixed(2)} 0)`}>
            <line x1={0} x2={0} y1={0} y2={heightPx} />
            {named && (
              <text x={4} y={13}>
                {name}
              </text>
            )}
          </g>
        ))}
    </g>
  );
}
