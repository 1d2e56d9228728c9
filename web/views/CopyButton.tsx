import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { copyText } from "../copyText.ts";

interface CopyButtonProps {
  readonly label: string;
  readonly text: () => string;
}

/** Copies a text and says so; where the browser does not let it, the text stands there to be copied by hand. */
export function CopyButton({ label, text }: CopyButtonProps): JSX.Element {
  const [said, setSaid] = useState<"copied" | { readonly byHand: string }>();
  const box = useRef<HTMLTextAreaElement>(null);
  useEffect(() => {
    box.current?.focus();
    box.current?.select();
  }, [said]);
  return (
    <span class="copy">
      <button
        type="button"
        class="button small"
        onClick={async () => {
          const what = text();
          setSaid((await copyText(what)) ? "copied" : { byHand: what });
        }}
      >
        {label}
      </button>
      <span role="status">
        {said === "copied" && "Copied."}
        {typeof said === "object" &&
          "This browser lets no page copy here. The text below is selected: copy it by hand."}
      </span>
      {typeof said === "object" && (
        <textarea ref={box} readOnly rows={4} aria-label="Text to copy" value={said.byHand} />
      )}
    </span>
  );
}
