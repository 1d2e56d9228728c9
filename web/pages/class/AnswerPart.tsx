import type { JSX } from "preact";
import { IS_LABEL, KIND_OPTIONS, UNIT_OPTIONS } from "../../model/class/editorWords.ts";
import type { OptionDraft } from "../../model/class/exerciseDraft.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { boxOf, type ExerciseFormProps } from "./ExerciseForm.tsx";

/** What is right, by kind, and what to say to answers that are often given and are not. */
export function AnswerPart(given: ExerciseFormProps): JSX.Element {
  const { exercise, onChange } = given;
  const { kind, options } = exercise;
  const hasOptions = kind === "choice" || kind === "choices" || kind === "order";
  const isKey = kind === "choices" ? "answer.are" : "answer.is";
  return (
    <fieldset class="text-list">
      <legend>Answer</legend>
      <div class="editor-boxes">
        <PickOne
          label="Kind of answer"
          value={kind}
          options={KIND_OPTIONS}
          onChange={(to) => onChange({ ...exercise, kind: to }, "kind")}
        />
        <TextField
          label={IS_LABEL[kind]}
          fixedWidth
          value={exercise.is}
          maxLength={600}
          onInput={(is) => onChange({ ...exercise, is }, "is")}
          {...boxOf(given, isKey)}
        />
        {kind === "quantity" && (
          <>
            <PickOne
              label="Unit"
              value={exercise.unit}
              options={UNIT_OPTIONS}
              onChange={(unit) => onChange({ ...exercise, unit }, "unit")}
            />
            <TextField
              label="Right within ±"
              numeric
              value={exercise.tolerance}
              maxLength={20}
              onInput={(tolerance) => onChange({ ...exercise, tolerance }, "tolerance")}
              {...boxOf(given, "answer.tolerance")}
            />
          </>
        )}
        {kind === "words" && (
          <TextField
            label="Others that do, with commas between"
            value={exercise.also}
            maxLength={600}
            onInput={(also) => onChange({ ...exercise, also }, "also")}
            {...boxOf(given, "answer.also")}
          />
        )}
      </div>
      {hasOptions && (
        <Options {...given} options={options} onOptions={(all, box) => onChange({ ...exercise, options: all }, box)} />
      )}
      <Wrong {...given} />
    </fieldset>
  );
}

interface OptionsProps extends ExerciseFormProps {
  readonly options: readonly OptionDraft[];
  readonly onOptions: (options: readonly OptionDraft[], box: string) => void;
}

function Options(props: OptionsProps): JSX.Element {
  const { options, onOptions } = props;
  const set = (i: number, change: Partial<OptionDraft>) =>
    onOptions(
      options.map((one, at) => (at === i ? { ...one, ...change } : one)),
      `options[${i}].${Object.keys(change)[0]}`,
    );
  const own = options.length < 2 ? boxOf(props, "answer.options").wrong : undefined;
  return (
    <>
      {options.map((option, i) => (
        <div key={i} class="text-line option-line">
          <TextField
            label={`Option ${i + 1}, its id`}
            fixedWidth
            value={option.id}
            maxLength={60}
            onInput={(id) => set(i, { id })}
            {...boxOf(props, `answer.options[${i}].id`)}
          />
          <TextField
            label="What it says"
            value={option.words}
            maxLength={1200}
            onInput={(words) => set(i, { words })}
            {...boxOf(props, `answer.options[${i}].words`)}
          />
          <button
            type="button"
            class="button small"
            onClick={() =>
              onOptions(
                options.filter((_, at) => at !== i),
                "options remove",
              )
            }
          >
            Take away<span class="heard-only">: option {i + 1}</span>
          </button>
        </div>
      ))}
      {own !== undefined && <p class="wrong">{own}</p>}
      {options.length < 12 && (
        <button
          type="button"
          class="button small"
          onClick={() =>
            onOptions([...options, { id: `option-${options.length + 1}`, words: "", also: "" }], "options add")
          }
        >
          Add<span class="heard-only"> an option</span>
        </button>
      )}
    </>
  );
}

function Wrong(props: ExerciseFormProps): JSX.Element {
  const { exercise, onChange } = props;
  const { wrong } = exercise;
  const set = (i: number, change: Partial<(typeof wrong)[number]>) =>
    onChange(
      { ...exercise, wrong: wrong.map((one, at) => (at === i ? { ...one, ...change } : one)) },
      `wrong[${i}].${Object.keys(change)[0]}`,
    );
  return (
    <>
      {wrong.map(({ answer, says }, i) => (
        <div key={i} class="text-line option-line">
          <TextField
            label={`Wrong answer ${i + 1}`}
            fixedWidth
            value={answer}
            maxLength={600}
            onInput={(text) => set(i, { answer: text })}
            {...boxOf(props, `wrong[${i}].answer`)}
          />
          <TextField
            label="What to say to it"
            value={says}
            maxLength={1200}
            onInput={(text) => set(i, { says: text })}
            {...boxOf(props, `wrong[${i}].says`)}
          />
          <button
            type="button"
            class="button small"
            onClick={() => onChange({ ...exercise, wrong: wrong.filter((_, at) => at !== i) }, "wrong remove")}
          >
            Take away<span class="heard-only">: wrong answer {i + 1}</span>
          </button>
        </div>
      ))}
      {wrong.length === 0 && boxOf(props, "wrong").wrong !== undefined && (
        <p class="wrong">{boxOf(props, "wrong").wrong}</p>
      )}
      {wrong.length < 12 && (
        <button
          type="button"
          class="button small"
          onClick={() => onChange({ ...exercise, wrong: [...wrong, { answer: "", says: "" }] }, "wrong add")}
        >
          Add<span class="heard-only"> a wrong answer</span>
        </button>
      )}
    </>
  );
}
