import type { JSX } from "preact";
import { MOST_PICKS } from "../../model/compare/address.ts";
import { isOnTray } from "../../model/compare/tray.ts";
import { useToCompare } from "../../toCompare.ts";

/** Puts a recording aside to be compared; which of its frames is chosen there. */
export function CompareCheck({ hash, name }: { readonly hash: string; readonly name: string }): JSX.Element {
  const { tray, toggle } = useToCompare();
  const entry = { hash, frame: undefined, words: name };
  const isOn = isOnTray(tray, entry);
  return (
    <label class="check compare-check">
      <input
        type="checkbox"
        checked={isOn}
        disabled={!isOn && tray.length >= MOST_PICKS}
        aria-label={`Compare ${name}`}
        onChange={() => toggle(entry)}
      />
      Compare
    </label>
  );
}
