import type { JSX } from "preact";
import { TextField } from "../../views/Fields.tsx";
import { boxOf, type ExerciseFormProps } from "./ExerciseForm.tsx";

interface TextListProps extends ExerciseFormProps {
  /** As in the file, such as `hints`. */
  readonly path: string;
  /** What one of them is, such as `hint`. */
  readonly one: string;
  readonly heading: string;
  readonly texts: readonly string[];
  readonly most: number;
  readonly onTexts: (texts: readonly string[], box: string) => void;
}

/** Several texts in their order; one more can always be written, and any can go. */
export function TextList(props: TextListProps): JSX.Element {
  const { path, one, heading, texts, most, onTexts } = props;
  const own = texts.length === 0 ? boxOf(props, path).wrong : undefined;
  return (
    <fieldset class="text-list">
      <legend>{heading}</legend>
      {texts.map((text, i) => (
        <div key={i} class="text-line">
          <TextField
            label={`${one[0]?.toUpperCase()}${one.slice(1)} ${i + 1}`}
            value={text}
            maxLength={1200}
            lines={text.length > 60 ? 2 : 1}
            onInput={(now) =>
              onTexts(
                texts.map((before, at) => (at === i ? now : before)),
                `${path}[${i}]`,
              )
            }
            {...boxOf(props, `${path}[${i}]`)}
          />
          <button
            type="button"
            class="button small"
            onClick={() =>
              onTexts(
                texts.filter((_, at) => at !== i),
                `${path} remove`,
              )
            }
          >
            Take away
            <span class="heard-only">
              : {one} {i + 1}
            </span>
          </button>
        </div>
      ))}
      {own !== undefined && <p class="wrong">{own}</p>}
      {texts.length < most && (
        <button type="button" class="button small" onClick={() => onTexts([...texts, ""], `${path} add`)}>
          Add<span class="heard-only"> a {one}</span>
        </button>
      )}
    </fieldset>
  );
}
