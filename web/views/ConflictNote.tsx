import type { JSX } from "preact";
import { Mark } from "./Mark.tsx";
import { Table } from "./Table.tsx";

/** One entry that two people wrote differently at the same time. */
export interface Difference {
  readonly key: string;
  readonly label: string;
  readonly mine: string;
  readonly theirs: string;
}

interface ConflictNoteProps {
  /** Such as `This card`. */
  readonly what: string;
  readonly rows: readonly Difference[];
  readonly busy: boolean;
  readonly onMine: () => void;
  readonly onTheirs: () => void;
}

/** Two people wrote on one thing: both versions, and the choice. Nothing is written until it is made. */
export function ConflictNote({ what, rows, busy, onMine, onTheirs }: ConflictNoteProps): JSX.Element {
  return (
    <section class="conflict" role="alert">
      <p>
        <Mark strength="look here" words={`${what} was changed elsewhere while you wrote`} />
      </p>
      <Table
        caption="What you wrote, and what stands there now"
        rows={rows}
        keyOf={({ key }) => key}
        empty={{
          says: "Both wrote the same, so nothing is lost either way.",
          action: { label: "Go on", onClick: onTheirs },
        }}
        columns={[
          { name: "Entry", cell: ({ label }) => label },
          { name: "Yours", cell: ({ mine }) => mine },
          { name: "There now", cell: ({ theirs }) => theirs },
        ]}
      />
      <p class="form-foot">
        <button type="button" class="button main" disabled={busy} onClick={onMine}>
          Write yours over it
        </button>
        <button type="button" class="button" disabled={busy} onClick={onTheirs}>
          Keep what is there
        </button>
      </p>
    </section>
  );
}
