import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { SAMPLE_TYPES } from "../../../decoders/sources.ts";
import type { RawRule } from "../../model/study/settingsForm.ts";
import { numberTyped } from "../../model/typed.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";

interface RawRulesProps {
  readonly rules: readonly RawRule[];
  readonly onChange: (rules: readonly RawRule[]) => void;
  readonly onAdd: () => void;
}

/** What files of raw samples are, by how their names end: such a file does not say it itself, and nothing is guessed. */
export function RawRules({ rules, onChange, onAdd }: RawRulesProps): JSX.Element {
  return (
    <fieldset class="raw-rules">
      <legend>Files of raw samples, by how their names end</legend>
      {rules.length === 0 && (
        <p class="caption">None. Raw files are then named and passed over: a sample rate is never guessed.</p>
      )}
      {rules.map((rule, i) => (
        <Rule
          key={i}
          rule={rule}
          number={i + 1}
          onChange={(to) => onChange(rules.with(i, to))}
          onRemove={() => onChange(rules.toSpliced(i, 1))}
        />
      ))}
      <p class="form-foot">
        <button type="button" class="button small" onClick={onAdd}>
          Add a kind of raw file
        </button>
      </p>
    </fieldset>
  );
}

interface RuleProps {
  readonly rule: RawRule;
  readonly number: number;
  readonly onChange: (rule: RawRule) => void;
  readonly onRemove: () => void;
}

function Rule({ rule, number, onChange, onRemove }: RuleProps): JSX.Element {
  const [rate, setRate] = useState(rule.rateHz === null ? "" : String(rule.rateHz / 1e6));
  const [carrier, setCarrier] = useState(rule.carrierHz === null ? "" : String(rule.carrierHz / 1e6));
  const rateTyped = numberTyped(rate, 0.001, 1000, "The sample rate in MS/s");
  const carrierTyped = numberTyped(carrier, 0.001, 1e6, "The frequency in MHz");
  const megahertz = (text: string, most: number) => {
    const typed = numberTyped(text, 0.001, most, "");
    return typed.ok && typed.value !== null ? Math.round(typed.value * 1e6) : null;
  };
  return (
    <fieldset class="raw-rule">
      <legend class="heard-only">{`Kind ${number} of raw file`}</legend>
      <TextField label="Name ends in" value={rule.ending} onInput={(ending) => onChange({ ...rule, ending })} />
      <PickOne
        label="Samples are"
        options={SAMPLE_TYPES.map((type) => [type, type] as const)}
        value={rule.type}
        onChange={(type) => onChange({ ...rule, type })}
      />
      <TextField
        label="Samples a second"
        unit="MS/s"
        numeric
        value={rate}
        wrong={
          !rateTyped.ok
            ? rateTyped.says
            : rateTyped.value === null
              ? "Without it such files are passed over."
              : undefined
        }
        onInput={(text) => {
          setRate(text);
          onChange({ ...rule, rateHz: megahertz(text, 1000) });
        }}
      />
      <TextField
        label="Centre, if known"
        unit="MHz"
        numeric
        value={carrier}
        wrong={carrierTyped.ok ? undefined : carrierTyped.says}
        onInput={(text) => {
          setCarrier(text);
          onChange({ ...rule, carrierHz: megahertz(text, 1e6) });
        }}
      />
      <button type="button" class="button small" aria-label={`Take away kind ${number}`} onClick={onRemove}>
        Take away
      </button>
    </fieldset>
  );
}
