import type { JSX } from "preact";
import { MOST_PICKS } from "../../model/compare/address.ts";
import { LETTERS } from "../../model/compare/picked.ts";
import { trayAddress } from "../../model/compare/tray.ts";
import { useToCompare } from "../../toCompare.ts";

/** What is put aside to be compared; nothing at all while nothing is. */
export function ToCompare(): JSX.Element | null {
  const { tray, toggle, clear } = useToCompare();
  if (tray.length === 0) return null;
  const address = trayAddress(tray);
  return (
    <section class="to-compare" aria-label="To compare">
      <p class="to-compare-says" role="status">
        {tray.length === 1
          ? "One to compare; choose another one, here or in another recording."
          : `${tray.length} to compare${tray.length === MOST_PICKS ? ", more do not go" : ""}.`}
      </p>
      <ul class="to-compare-list">
        {tray.map((entry, i) => (
          <li key={`${entry.hash} ${entry.frame}`}>
            <span class="pick-letter">{LETTERS[i]}</span>
            <span>{entry.words}</span>
            <button
              type="button"
              class="button small"
              aria-label={`Take off ${entry.words}`}
              onClick={() => toggle(entry)}
            >
              Take off
            </button>
          </li>
        ))}
      </ul>
      <p class="form-foot">
        {address !== undefined && (
          <a class="button main" href={address}>
            Compare them
          </a>
        )}
        {tray.length === 1 && (
          <a class="button small" href="/recordings">
            Other recordings
          </a>
        )}
        <button type="button" class="button small" onClick={clear}>
          Take all off
        </button>
      </p>
    </section>
  );
}
