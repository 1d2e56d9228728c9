import type { JSX } from "preact";
import { type MeasureCell, type MeasureRow, measuresHeading } from "../../model/compare/measures.ts";
import type { Picked } from "../../model/compare/picked.ts";
import { Mark } from "../Mark.tsx";
import { Table } from "../Table.tsx";

interface MeasuresSectionProps {
  readonly these: readonly Picked[];
  readonly rows: readonly MeasureRow[];
}

/** What was measured of each, side by side; what stands out is marked, and from where on is said. */
export function MeasuresSection({ these, rows }: MeasuresSectionProps): JSX.Element {
  const letters = these.map(({ letter }) => letter);
  return (
    <section class="evidence-band measures" aria-labelledby="measures">
      <h2 id="measures">{measuresHeading(rows, letters)}</h2>
      <Table
        caption={`Each is held against ${letters[0] ?? "the first"}`}
        rows={rows}
        keyOf={({ name }) => name}
        empty={{
          says: "No burst was found that could be measured.",
          action: { label: "All recordings", href: "/recordings" },
        }}
        columns={[
          { name: "Measure", cell: ({ name }) => name },
          ...these.map(({ letter, recording }, i) => ({
            name: `${letter}, ${recording.name}`,
            cell: ({ cells }: MeasureRow) => <Cell cell={cells[i]} first={letters[0] ?? ""} />,
          })),
          { name: "From where on it is told", cell: ({ basis }) => <span class="basis">{basis}</span> },
        ]}
      />
      <div class="band-foot">
        <details>
          <summary>
            How to read it<span class="heard-only">: the measures</span>
          </summary>
          <div class="how-to-read">
            <p>
              Below a value stands how far it is from the first, where that is more than it can be told to. A wedge is
              put only where a limit or good sense asks for a look; the last column says which. Two sensors that differ
              need not be bad: identity, count and level always do.
            </p>
          </div>
        </details>
      </div>
    </section>
  );
}

function Cell({ cell, first }: { readonly cell: MeasureCell | undefined; readonly first: string }): JSX.Element | null {
  if (cell === undefined) return null;
  return (
    <span class="measure">
      <span class="measure-value">{cell.value}</span>
      {cell.standing === "look" ? (
        <span class="measure-note">
          <Mark strength="look here" words={cell.says === "" ? "look here" : cell.says} />
        </span>
      ) : (
        <span class="measure-note caption">{noteOf(cell, first)}</span>
      )}
    </span>
  );
}

function noteOf({ standing, says }: MeasureCell, first: string): string {
  switch (standing) {
    case "alike":
      return `as ${first}`;
    case "other":
      return says === "" ? `other than ${first}` : says;
    default:
      return says;
  }
}
