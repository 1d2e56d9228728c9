import type { JSX } from "preact";
import { TextField } from "../../views/Fields.tsx";
import type { Autosave } from "./autosave.ts";

/** What the vehicle itself says, as it was typed; what a code means is in the maker's manual. */
export function Codes({ autosave }: { readonly autosave: Autosave }): JSX.Element {
  const box = (key: "codesBefore" | "codesAfter") => ({
    value: autosave.draft[key],
    onInput: (text: string) => autosave.type(key, text),
    onLeave: autosave.flush,
    lines: 2,
    fixedWidth: true,
    maxLength: 2000,
  });
  return (
    <details class="codes" open={autosave.draft.codesBefore !== "" || autosave.draft.codesAfter !== ""}>
      <summary>Trouble codes of the vehicle</summary>
      <div class="edit-card-more">
        <TextField label="Before clearing" {...box("codesBefore")} />
        <TextField label="After clearing and a second look" {...box("codesAfter")} />
      </div>
      <p class="caption">Kept as typed. What a code means is in the maker's manual.</p>
    </details>
  );
}
