import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useAction } from "../../actionsHere.ts";
import { listed } from "../../model/quantities.ts";
import {
  changedKeys,
  formOf,
  type RawRule,
  type SettingsJson,
  settingsFrom,
  settingsText,
  withChange,
} from "../../model/study/settingsForm.ts";
import { numberTyped } from "../../model/typed.ts";
import { ChooseRecordings } from "../../views/ChooseRecordings.tsx";
import { CopyButton } from "../../views/CopyButton.tsx";
import { TextField } from "../../views/Fields.tsx";
import { LongText } from "../../views/LongText.tsx";
import { RawRules } from "./RawRules.tsx";

interface ChooseSettingsProps {
  readonly defaults: SettingsJson;
  readonly settings: SettingsJson;
  readonly title: string;
  readonly onChange: (settings: SettingsJson) => void;
}

/** Every setting there is, in boxes, and as the file that is frozen. */
export function ChooseSettings({ defaults, settings, title, onChange }: ChooseSettingsProps): JSX.Element {
  const form = formOf(settings);
  const all = formOf(defaults).layouts;
  const [carrier, setCarrier] = useState(form.carrierHz === null ? "" : String(form.carrierHz / 1e6));
  const [wrongFile, setWrongFile] = useState<string>();
  const typed = numberTyped(carrier, 0.001, 1e6, "The frequency in MHz");
  const change = (to: Parameters<typeof withChange>[1]) => onChange(withChange(settings, to, defaults));
  const addRule = () => change({ raw: [...form.raw, NEW_RULE] });
  useAction("study.rule", addRule);
  const changed = changedKeys(settings, defaults);

  const take = async (file: File | undefined) => {
    if (!file) return;
    const read = settingsFrom(await file.text(), defaults);
    setWrongFile(read.ok ? undefined : read.says);
    if (!read.ok) return;
    onChange(read.settings);
    const { carrierHz } = formOf(read.settings);
    setCarrier(carrierHz === null ? "" : String(carrierHz / 1e6));
  };

  return (
    <div class="settings-form">
      <ChooseRecordings
        legend={`Layouts that are tried: ${form.layouts.length} of ${all.length}`}
        rows={all.map((id) => ({ hash: id, words: id }))}
        chosen={form.layouts}
        onChange={(layouts) => change({ layouts })}
      />
      <TextField
        label="Centre frequency of recordings that do not tell theirs (empty: not known)"
        unit="MHz"
        numeric
        value={carrier}
        wrong={typed.ok ? undefined : typed.says}
        onInput={(text) => {
          setCarrier(text);
          const now = numberTyped(text, 0.001, 1e6, "");
          if (now.ok) change({ carrierHz: now.value === null ? null : Math.round(now.value * 1e6) });
        }}
      />
      <label class="check">
        <input
          type="checkbox"
          checked={form.subfolders}
          onChange={(event) => change({ subfolders: event.currentTarget.checked })}
        />
        <span>Look into folders that lie in a folder</span>
      </label>
      <RawRules rules={form.raw} onChange={(raw) => change({ raw })} onAdd={addRule} />
      <h3>The settings as they are frozen, every default written out</h3>
      <p class="caption">
        {changed.length === 0
          ? "All of them are as they come."
          : `Not as they come: ${listed(changed.map((key) => key))}. All others are.`}
      </p>
      <LongText label="The settings file" text={settingsText(settings, title.trim())} />
      <p class="form-foot">
        <CopyButton label="Copy the settings" text={() => settingsText(settings, title.trim())} />
        <label class="file">
          <span>Take them from a file</span>
          <input
            type="file"
            accept=".json,application/json"
            onChange={(event) => void take(event.currentTarget.files?.[0])}
          />
        </label>
      </p>
      {wrongFile !== undefined && (
        <p class="wrong" role="alert">
          {wrongFile}
        </p>
      )}
    </div>
  );
}

const NEW_RULE: RawRule = { ending: ".iq", type: "cu8", rateHz: null, carrierHz: null };
