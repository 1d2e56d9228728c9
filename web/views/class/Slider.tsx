import type { JSX } from "preact";
import { useId } from "preact/hooks";

interface SliderProps {
  readonly label: string;
  readonly value: number;
  readonly least: number;
  readonly most: number;
  readonly step: number;
  /** The value with its unit, as it is shown and heard. */
  readonly words: string;
  readonly onInput: (value: number) => void;
  readonly disabled?: boolean;
}

/** A value that is moved by finger, mouse or arrow keys, with its figure beside its name. */
export function Slider({ label, value, least, most, step, words, onInput, disabled }: SliderProps): JSX.Element {
  const id = useId();
  return (
    <div class="slider">
      <label for={id}>{label}</label>
      <span class="slider-value" aria-hidden="true">
        {words}
      </span>
      <input
        id={id}
        type="range"
        min={least}
        max={most}
        step={step}
        value={value}
        disabled={disabled === true}
        aria-valuetext={words}
        onInput={(event) => onInput(Number(event.currentTarget.value))}
      />
    </div>
  );
}
