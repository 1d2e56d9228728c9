import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { AskedBody } from "../../../server/http/wire/exercises.ts";
import {
  type AnswerDraft,
  answerHint,
  answerOf,
  emptyDraft,
  toggled,
  unitShown,
} from "../../model/class/answerDraft.ts";
import { Choice, TextField } from "../Fields.tsx";
import { OrderBox } from "./OrderBox.tsx";

interface AnswerFormProps {
  readonly asked: AskedBody;
  /** Nothing more is taken. */
  readonly isOver: boolean;
  readonly onAnswer: (answer: string | string[]) => Promise<void>;
}

/** Where an answer is given, by what is asked for. */
export function AnswerForm({ asked, isOver, onAnswer }: AnswerFormProps): JSX.Element {
  const [draft, setDraft] = useState<AnswerDraft>(() => emptyDraft(asked));
  const [busy, setBusy] = useState(false);
  const answer = answerOf(asked, draft);
  return (
    <form
      class="answer-form"
      aria-label="Your answer"
      onSubmit={(event) => {
        event.preventDefault();
        if (answer === undefined || busy) return;
        setBusy(true);
        void onAnswer(answer).finally(() => setBusy(false));
      }}
    >
      <fieldset class="answer-box" disabled={isOver}>
        <legend class="heard-only">Your answer</legend>
        <AnswerBox asked={asked} draft={draft} onChange={setDraft} />
      </fieldset>
      {!isOver && (
        <p class="form-foot">
          <button type="submit" class="button main" disabled={answer === undefined || busy}>
            Answer
          </button>
          <span class="caption">{answerHint(asked)}</span>
        </p>
      )}
    </form>
  );
}

interface AnswerBoxProps {
  readonly asked: AskedBody;
  readonly draft: AnswerDraft;
  readonly onChange: (draft: AnswerDraft) => void;
}

function AnswerBox({ asked, draft, onChange }: AnswerBoxProps): JSX.Element {
  const text = typeof draft === "string" ? draft : "";
  switch (asked.kind) {
    case "quantity":
      return (
        <TextField
          label="A number"
          unit={unitShown(asked.unit)}
          value={text}
          onInput={onChange}
          numeric
          maxLength={80}
        />
      );
    case "bits":
      return <TextField label="Bits" value={text} onInput={onChange} fixedWidth numeric maxLength={400} />;
    case "hex":
      return <TextField label="Hex digits" value={text} onInput={onChange} fixedWidth maxLength={200} />;
    case "words":
      return <TextField label="In words" value={text} onInput={onChange} maxLength={200} />;
    case "choice":
      return (
        <Choice
          legend="One of these"
          options={asked.options.map(({ id, words }) => [id, words])}
          value={text}
          onChange={onChange}
        />
      );
    case "choices":
      return (
        <fieldset class="choice">
          <legend>All that hold</legend>
          {asked.options.map(({ id, words }) => (
            <label key={id}>
              <input
                type="checkbox"
                checked={draft.includes(id)}
                onChange={() => onChange(toggled(asked, draft, id))}
              />
              <span>{words}</span>
            </label>
          ))}
        </fieldset>
      );
    case "order":
      return <OrderBox options={asked.options} order={typeof draft === "string" ? [] : draft} onChange={onChange} />;
  }
}
