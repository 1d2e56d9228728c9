import type { JSX } from "preact";
import type { Fault } from "../../model/class/exerciseDraft.ts";
import { BANDS, LEVELS, type SetDraft, wrongAt } from "../../model/class/setDraft.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";

interface SetFormProps {
  readonly draft: SetDraft;
  readonly faults: readonly Fault[];
  readonly onChange: (draft: SetDraft, box: string) => void;
}

/** What a set says of itself. */
export function SetForm({ draft, faults, onChange }: SetFormProps): JSX.Element {
  const box = (key: "title" | "teaches" | "minutes") => ({
    value: draft[key],
    wrong: wrongAt(faults, key),
    onInput: (text: string) => onChange({ ...draft, [key]: text }, key),
  });
  return (
    <section aria-labelledby="editor-set">
      <h2 id="editor-set">The set</h2>
      <div class="editor-boxes">
        <TextField label="Title of the set" maxLength={120} {...box("title")} />
        <TextField label="It takes" unit="minutes" numeric maxLength={4} {...box("minutes")} />
        <PickOne
          label="Level"
          value={draft.level}
          options={LEVELS.map((level) => [level, level] as const)}
          onChange={(level) => onChange({ ...draft, level }, "level")}
        />
        <fieldset class="choice editor-bands">
          <legend>Bands</legend>
          {BANDS.map((band) => (
            <label key={band}>
              <input
                type="checkbox"
                checked={draft.bands.includes(band)}
                onChange={() => {
                  const others = draft.bands.filter((one) => one !== band);
                  const bands = draft.bands.includes(band) ? others : [...others, band];
                  onChange({ ...draft, bands }, "bands");
                }}
              />
              <span>{band}</span>
            </label>
          ))}
        </fieldset>
      </div>
      <TextField label="What it teaches" lines={2} maxLength={1200} {...box("teaches")} />
    </section>
  );
}
