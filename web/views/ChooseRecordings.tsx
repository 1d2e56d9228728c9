import type { JSX } from "preact";

interface ChooseRecordingsProps {
  readonly legend: string;
  readonly rows: readonly { readonly hash: string; readonly words: string }[];
  /** Their hashes. */
  readonly chosen: readonly string[];
  readonly onChange: (hashes: readonly string[]) => void;
}

/** Some of the recordings, ticked in a list that scrolls where it is long. */
export function ChooseRecordings({ legend, rows, chosen, onChange }: ChooseRecordingsProps): JSX.Element {
  return (
    <fieldset class="choose-recordings">
      <legend>{legend}</legend>
      {rows.map(({ hash, words }) => (
        <label key={hash} class="check">
          <input
            type="checkbox"
            checked={chosen.includes(hash)}
            onChange={() => onChange(chosen.includes(hash) ? chosen.filter((one) => one !== hash) : [...chosen, hash])}
          />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}
