import type { JSX } from "preact";
import type { JobChangeBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { differences } from "../../model/jobChange.ts";
import { ConflictNote } from "../../views/ConflictNote.tsx";
import type { Card } from "./card.ts";

interface JobConflictProps {
  readonly conflict: NonNullable<Card["conflict"]>;
  readonly card: Card;
  /** The person has chosen: this change is written, or let go. */
  readonly onChosen: (change: JobChangeBody) => void;
}

/** Two people wrote on one card. */
export function JobConflict({ conflict, card, onChosen }: JobConflictProps): JSX.Element {
  const { pressure } = useSettings();
  return (
    <ConflictNote
      what="This card"
      rows={differences(conflict.change, conflict.now, pressure)}
      busy={card.saving}
      onMine={() => {
        onChosen(conflict.change);
        card.keepMine();
      }}
      onTheirs={() => {
        onChosen(conflict.change);
        card.keepTheirs();
      }}
    />
  );
}
