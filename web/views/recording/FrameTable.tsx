import type { JSX } from "preact";
import { frequencyShown } from "../../model/quantities.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { copyWords, verdictWords } from "../../model/recording/frameWords.ts";
import { rangeWords, type TimeRange } from "../../model/recording/range.ts";
import { Identity } from "../Identity.tsx";
import { Quantity } from "../Quantity.tsx";
import { Table } from "../Table.tsx";

interface FrameTableProps {
  readonly frames: readonly Frame[];
  readonly range: TimeRange;
  readonly onChoose: (frame: Frame) => void;
}

/** More rows than this are not read. */
const MOST_ROWS = 200;

/** The frames that are shown, in order of time. */
export function FrameTable({ frames, range, onChoose }: FrameTableProps): JSX.Element {
  const shown = frames
    .filter((frame) => frame.toSeconds > range.fromSeconds && frame.fromSeconds < range.toSeconds)
    .toSorted((a, b) => a.fromSeconds - b.fromSeconds);
  const first = frames[0];
  return (
    <>
      <Table
        caption={`Frames from ${rangeWords(range)}`}
        rows={shown.slice(0, MOST_ROWS)}
        keyOf={({ id }) => id}
        empty={{
          says: "No frame lies in what is shown.",
          action: first
            ? { label: "Show the first one", onClick: () => onChoose(first) }
            : { label: "All recordings", href: "/recordings" },
        }}
        columns={[
          {
            name: "At, s",
            figures: true,
            cell: (frame) => (
              <button type="button" class="plain-button" onClick={() => onChoose(frame)}>
                {frame.burst.atSeconds.toFixed(4)}
              </button>
            ),
          },
          { name: "Length, ms", figures: true, cell: ({ burst }) => (burst.durationSeconds * 1000).toFixed(1) },
          {
            name: "Carrier",
            figures: true,
            cell: ({ burst }) => <Quantity shown={frequencyShown(burst.carrierHz, 3)} />,
          },
          {
            name: "Sensor ID",
            cell: ({ telegram }) => (telegram?.identity ? <Identity value={telegram.identity} /> : "not told"),
          },
          { name: "Copy", cell: (frame) => copyWords(frame) || "none" },
          { name: "Verdict", cell: verdictWords },
          { name: "Index", figures: true, cell: ({ burst }) => burst.index },
        ]}
      />
      {shown.length > MOST_ROWS && (
        <p class="caption">{`${shown.length - MOST_ROWS} more lie in what is shown; go closer to have them here.`}</p>
      )}
    </>
  );
}
