import type { JSX } from "preact";
import type { JobChangeBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { differences } from "../../model/jobChange.ts";
import { Mark } from "../../views/Mark.tsx";
import { Table } from "../../views/Table.tsx";
import type { Card, Conflict } from "./card.ts";

interface ConflictNoteProps {
  readonly conflict: Conflict;
  readonly card: Card;
  /** The person has chosen: this change is written, or let go. */
  readonly onChosen: (change: JobChangeBody) => void;
}

/** Two people wrote on one card: both versions, and the choice. Nothing is written until it is made. */
export function ConflictNote({ conflict, card, onChosen }: ConflictNoteProps): JSX.Element {
  const keepTheirs = () => {
    onChosen(conflict.change);
    card.keepTheirs();
  };
  const keepMine = () => {
    onChosen(conflict.change);
    card.keepMine();
  };
  const { pressure } = useSettings();
  return (
    <section class="conflict" role="alert">
      <p>
        <Mark strength="look here" words="This card was changed elsewhere while you wrote" />
      </p>
      <Table
        caption="What you wrote, and what stands there now"
        rows={differences(conflict.change, conflict.now, pressure)}
        keyOf={({ key }) => key}
        empty={{
          says: "Both wrote the same, so nothing is lost either way.",
          action: { label: "Go on", onClick: keepTheirs },
        }}
        columns={[
          { name: "Entry", cell: ({ label }) => label },
          { name: "Yours", cell: ({ mine }) => mine },
          { name: "There now", cell: ({ theirs }) => theirs },
        ]}
      />
      <p class="form-foot">
        <button type="button" class="button main" disabled={card.saving} onClick={keepMine}>
          Write yours over it
        </button>
        <button type="button" class="button" disabled={card.saving} onClick={keepTheirs}>
          Keep what is there
        </button>
      </p>
    </section>
  );
}
