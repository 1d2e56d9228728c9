import type { JSX } from "preact";

interface DoneNoteProps {
  readonly card: {
    readonly done: { readonly says: string } | undefined;
    readonly undo: () => void;
  };
}

/** What was just changed, and the way back. */
export function DoneNote({ card }: DoneNoteProps): JSX.Element {
  return (
    <p class="done" role="status">
      {card.done && (
        <>
          {card.done.says}{" "}
          <button type="button" class="button" onClick={card.undo}>
            Undo
          </button>
        </>
      )}
    </p>
  );
}
