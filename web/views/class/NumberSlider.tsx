import type { JSX } from "preact";
import { useId, useState } from "preact/hooks";
import { LINK_RANGES } from "../../../decoders/radio/link.ts";
import { type NumberSetting, SLIDER_STEPS, sliderPlace, sliderValue } from "../../model/class/twoBands.ts";
import { figure } from "../../model/quantities.ts";
import { numberTyped } from "../../model/typed.ts";

interface NumberSliderProps {
  readonly setting: NumberSetting;
  readonly value: number;
  readonly onChange: (value: number) => void;
  /** What is wrong with it beside others. */
  readonly wrong?: string | undefined;
}

/** A number by hand: a slider to try it out, a box to say it. */
export function NumberSlider({ setting, value, onChange, wrong }: NumberSliderProps): JSX.Element {
  const id = useId();
  const [typed, setTyped] = useState<string>();
  const { key, label, unit, decimals } = setting;
  const [least, most] = LINK_RANGES[key];
  const shown = String(Number(value.toFixed(decimals)));
  const read = typed === undefined ? undefined : numberTyped(typed, least, most, label);
  const complaint = read !== undefined && !read.ok ? read.says : wrong;
  const name = unit === "" ? label : `${label}, ${unit}`;
  const type = (text: string) => {
    setTyped(text);
    const number = numberTyped(text, least, most, label);
    if (number.ok && number.value !== null) onChange(number.value);
  };
  return (
    <div class="field number-slider">
      <label for={id}>
        {label}
        {unit !== "" && <span class="unit"> {unit}</span>}
      </label>
      <div class="number-slider-both">
        <input
          type="range"
          min={0}
          max={SLIDER_STEPS}
          step={1}
          aria-label={`${name}, by sliding`}
          aria-valuetext={`${figure(value, decimals)} ${unit}`.trim()}
          value={sliderPlace(setting, value)}
          onInput={(event) => {
            setTyped(undefined);
            onChange(sliderValue(setting, Number(event.currentTarget.value)));
          }}
        />
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          aria-invalid={complaint !== undefined}
          aria-describedby={complaint === undefined ? undefined : `${id}-wrong`}
          value={typed ?? shown}
          onInput={(event) => type(event.currentTarget.value)}
          onBlur={() => setTyped(undefined)}
        />
      </div>
      {complaint !== undefined && (
        <p class="wrong" id={`${id}-wrong`}>
          {complaint}
        </p>
      )}
    </div>
  );
}
