import type { JSX } from "preact";

interface AskProps {
  readonly question: string;
  readonly yes: string;
  readonly no: string;
  readonly busy?: boolean;
  readonly onYes: () => void;
  readonly onNo: () => void;
}

/** Asks before something goes that cannot be brought back. */
export function Ask({ question, yes, no, busy = false, onYes, onNo }: AskProps): JSX.Element {
  return (
    <fieldset class="ask" onKeyDown={(event) => event.key === "Escape" && onNo()}>
      <legend>{question}</legend>
      <button type="button" class="button main" disabled={busy} onClick={onYes}>
        {yes}
      </button>
      <button type="button" class="button" disabled={busy} onClick={onNo}>
        {no}
      </button>
    </fieldset>
  );
}
