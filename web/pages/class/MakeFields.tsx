import type { JSX } from "preact";
import type { Field, Layout } from "../../../decoders/layouts/schema.ts";
import { fieldUnit, type MakingDraft, writableFields } from "../../model/class/makingDraft.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";

interface MakeFieldsProps {
  readonly layout: Layout;
  readonly draft: MakingDraft;
  readonly wrong: Readonly<Record<string, string>>;
  readonly onChange: (name: string, text: string) => void;
}

/** A box for each field of the layout that somebody can write. */
export function MakeFields({ layout, draft, wrong, onChange }: MakeFieldsProps): JSX.Element {
  return (
    <div class="make-fields">
      {writableFields(layout).map((field) => (
        <One
          key={field.name}
          field={field}
          text={draft[field.name] ?? ""}
          wrong={wrong[field.name]}
          onInput={(text) => onChange(field.name, text)}
        />
      ))}
    </div>
  );
}

interface OneProps {
  readonly field: Field;
  readonly text: string;
  readonly wrong: string | undefined;
  readonly onInput: (text: string) => void;
}

function One({ field, text, wrong, onInput }: OneProps): JSX.Element {
  switch (field.type) {
    case "code":
      return (
        <PickOne
          label={field.name}
          value={text}
          onChange={onInput}
          options={Object.values(field.values ?? {}).map((word) => [word, word] as const)}
        />
      );
    case "flag":
      return (
        <label class="check">
          <input
            type="checkbox"
            checked={text !== ""}
            onChange={(event) => onInput(event.currentTarget.checked ? "yes" : "")}
          />
          <span>{field.name}</span>
        </label>
      );
    default: {
      const unit = fieldUnit(field);
      return (
        <TextField
          label={field.name}
          value={text}
          onInput={onInput}
          wrong={wrong}
          fixedWidth={field.type === "identity"}
          numeric={field.type !== "identity"}
          maxLength={20}
          {...(unit === undefined ? {} : { unit })}
        />
      );
    }
  }
}
