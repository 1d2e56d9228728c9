import type { JSX } from "preact";
import type { Card } from "./card.ts";

/** What was just changed, and the way back. */
export function DoneNote({ card }: { readonly card: Card }): JSX.Element {
  return (
    <p class="done" role="status">
      {card.done && (
        <>
          {card.done.says}{" "}
          <button type="button" class="button" disabled={card.saving} onClick={card.undo}>
            Undo
          </button>
        </>
      )}
    </p>
  );
}
