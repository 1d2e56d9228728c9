import type { JSX } from "preact";
import type { RungName } from "../../../decoders/records.ts";
import { CAUTION_WORDS, JSON_HELP, JSON_LABEL } from "../../model/class/editorWords.ts";
import { type ExerciseDraft, type Fault, JSON_PARTS, type JsonPart } from "../../model/class/exerciseDraft.ts";
import { wrongAt } from "../../model/class/setDraft.ts";
import { RUNG_QUESTIONS } from "../../model/rungWords.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { AnswerPart } from "./AnswerPart.tsx";
import { TextList } from "./TextList.tsx";

export interface ExerciseFormProps {
  readonly exercise: ExerciseDraft;
  /** Its place in the set. */
  readonly at: number;
  readonly faults: readonly Fault[];
  readonly onChange: (exercise: ExerciseDraft, box: string) => void;
}

/** What a box of an exercise needs to be drawn. */
export function boxOf({ at, faults }: Pick<ExerciseFormProps, "at" | "faults">, key: string) {
  return { wrong: wrongAt(faults, `exercises[${at}].${key}`) };
}

type PlainKey = "title" | "id" | "question" | "reveal" | "walks";

/** One exercise in boxes, each with what is wrong with it below. */
export function ExerciseForm(given: ExerciseFormProps): JSX.Element {
  const { exercise, onChange } = given;
  const box = (key: PlainKey) => ({
    value: exercise[key],
    onInput: (text: string) => onChange({ ...exercise, [key]: text }, key),
    ...boxOf(given, key),
  });
  const json = (part: JsonPart) => ({
    label: JSON_LABEL[part],
    value: exercise.json[part],
    onInput: (text: string) => onChange({ ...exercise, json: { ...exercise.json, [part]: text } }, part),
    ...boxOf(given, part),
  });
  return (
    <section class="exercise-form" aria-labelledby="editor-exercise">
      <h3 id="editor-exercise">The exercise</h3>
      <div class="editor-boxes">
        <TextField label="Title" maxLength={80} {...box("title")} />
        <TextField label="Id, in its address" maxLength={60} fixedWidth {...box("id")} />
        <PickOne
          label="Rung of the check ladder"
          value={exercise.rung}
          options={[["", "none"], ...rungOptions()]}
          onChange={(rung) => onChange({ ...exercise, rung }, "rung")}
        />
      </div>
      <TextField label="Question" lines={3} maxLength={1200} {...box("question")} />
      <p class="caption">
        {"{kpa}"} in a text stands for what was drawn, worked out or found; {"{kpa.1}"} shows one decimal.
      </p>
      <AnswerPart {...given} />
      <TextList
        {...given}
        path="hints"
        one="hint"
        heading="Hints, from the first to the last"
        texts={exercise.hints}
        most={6}
        onTexts={(hints, key) => onChange({ ...exercise, hints }, key)}
      />
      <TextField label="Reveal: why it is so" lines={3} maxLength={1200} {...box("reveal")} />
      <TextList
        {...given}
        path="sources"
        one="source"
        heading="Sources"
        texts={exercise.sources}
        most={8}
        onTexts={(sources, key) => onChange({ ...exercise, sources }, key)}
      />
      <Cautions {...given} />
      <details open={JSON_PARTS.some((part) => boxOf(given, part).wrong !== undefined)}>
        <summary>What is drawn, on the air and given</summary>
        <div class="editor-json">
          {JSON_PARTS.map((part) => (
            <div key={part}>
              <TextField fixedWidth lines={linesOf(exercise.json[part])} {...json(part)} />
              <p class="caption">{JSON_HELP[part]}</p>
            </div>
          ))}
          <TextField
            label="The reveal walks the ladder of burst number, from 0"
            numeric
            maxLength={4}
            {...box("walks")}
          />
        </div>
      </details>
    </section>
  );
}

function Cautions({ exercise, onChange }: ExerciseFormProps): JSX.Element {
  return (
    <fieldset class="choice">
      <legend>Cautions: what the exercise touches</legend>
      {Object.entries(CAUTION_WORDS).map(([caution, words]) => (
        <label key={caution}>
          <input
            type="checkbox"
            checked={exercise.cautions.includes(caution)}
            onChange={() => {
              const others = exercise.cautions.filter((one) => one !== caution);
              const cautions = exercise.cautions.includes(caution) ? others : [...others, caution];
              onChange({ ...exercise, cautions }, "cautions");
            }}
          />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}

function rungOptions(): readonly (readonly [string, string])[] {
  // The record of questions has the rungs in their order.
  return (Object.keys(RUNG_QUESTIONS) as RungName[]).map((rung) => [rung, RUNG_QUESTIONS[rung]]);
}

/** As many lines as the text has, within reason. */
function linesOf(text: string): number {
  return Math.min(20, Math.max(3, text.split("\n").length));
}
