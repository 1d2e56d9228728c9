import type { JSX } from "preact";
import { useId } from "preact/hooks";

interface TextFieldProps {
  readonly label: string;
  readonly value: string;
  readonly onInput: (text: string) => void;
  /** The box is left. */
  readonly onLeave?: () => void;
  readonly unit?: string;
  /** What is wrong with it and what would do. */
  readonly wrong?: string | undefined;
  readonly lines?: number;
  readonly options?: readonly string[];
  readonly fixedWidth?: boolean;
  readonly numeric?: boolean;
  readonly maxLength?: number;
  /** Its name is only heard, since it stands elsewhere to be seen. */
  readonly bare?: boolean;
}

/** A box with its name above it and, where what was typed does not do, a sentence below. */
export function TextField(props: TextFieldProps): JSX.Element {
  const {
    label,
    value,
    onInput,
    unit,
    wrong,
    lines = 1,
    options,
    fixedWidth,
    numeric,
    maxLength,
    onLeave,
    bare,
  } = props;
  const id = useId();
  const common = {
    id,
    value,
    ...(maxLength === undefined ? {} : { maxLength }),
    "aria-invalid": wrong !== undefined,
    "aria-describedby": wrong === undefined ? undefined : `${id}-wrong`,
    class: fixedWidth ? "fixed-width" : "",
    autocomplete: "off" as const,
    ...(onLeave === undefined ? {} : { onBlur: onLeave }),
  };
  return (
    <div class="field">
      <label for={id} class={bare ? "heard-only" : ""}>
        {label}
        {unit !== undefined && <span class="unit"> {unit}</span>}
      </label>
      {lines > 1 ? (
        <textarea {...common} rows={lines} onInput={(event) => onInput(event.currentTarget.value)} />
      ) : (
        <input
          {...common}
          type="text"
          {...(numeric ? { inputMode: "decimal" as const } : {})}
          {...(options === undefined ? {} : { list: `${id}-options` })}
          onInput={(event) => onInput(event.currentTarget.value)}
        />
      )}
      {options !== undefined && (
        <datalist id={`${id}-options`}>
          {options.map((option) => (
            <option key={option} value={option} />
          ))}
        </datalist>
      )}
      {wrong !== undefined && (
        <p class="wrong" id={`${id}-wrong`}>
          {wrong}
        </p>
      )}
    </div>
  );
}

interface ChoiceProps<T extends string> {
  readonly legend: string;
  readonly options: readonly (readonly [value: T, words: string])[];
  readonly value: T;
  readonly onChange: (value: T) => void;
}

interface PickProps<T extends string> {
  readonly label: string;
  readonly options: readonly (readonly [value: T, words: string])[];
  readonly value: string;
  readonly onChange: (value: T) => void;
}

/** One of several, in a list that opens. */
export function PickOne<T extends string>({ label, options, value, onChange }: PickProps<T>): JSX.Element {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select
        id={id}
        value={value}
        onChange={(event) => {
          const chosen = options.find(([option]) => option === event.currentTarget.value);
          if (chosen) onChange(chosen[0]);
        }}
      >
        {options.map(([option, words]) => (
          <option key={option} value={option}>
            {words}
          </option>
        ))}
      </select>
    </div>
  );
}

/** One of a few, all of them in sight. */
export function Choice<T extends string>({ legend, options, value, onChange }: ChoiceProps<T>): JSX.Element {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend>{legend}</legend>
      {options.map(([option, words]) => (
        <label key={option}>
          <input type="radio" name={name} checked={option === value} onChange={() => onChange(option)} />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}
