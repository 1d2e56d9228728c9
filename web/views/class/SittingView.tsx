import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { AnsweredBody, SittingBody } from "../../../server/http/wire/exercises.ts";
import type { Answer } from "../../api.ts";
import { TextField } from "../Fields.tsx";

interface SittingViewProps {
  readonly sitting: SittingBody;
  readonly onAnswer: (answer: string | readonly string[]) => Promise<Answer<AnsweredBody>>;
  readonly onHint: () => void;
  /** Left out where the answer may not be asked for. */
  readonly onReveal?: (() => void) | undefined;
}

/** STAND-IN: plain, until the real one is there. */
export function SittingView({ sitting, onAnswer, onHint, onReveal }: SittingViewProps): JSX.Element {
  const [typed, setTyped] = useState("");
  const [says, setSays] = useState("");
  const { material, hints, reveal, state } = sitting;
  return (
    <>
      <p>{material.question}</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void onAnswer(typed).then((answer) => setSays(answer.ok ? answer.value.says : ""));
        }}
      >
        <TextField label="Your answer" value={typed} onInput={setTyped} />
        <p class="form-foot">
          <button type="submit" class="button main">
            Answer
          </button>
          {state === "looking" && hints.length < material.hintCount && (
            <button type="button" class="button" onClick={onHint}>
              Take a hint
            </button>
          )}
          {onReveal && state === "looking" && (
            <button type="button" class="button" onClick={onReveal}>
              Show the answer
            </button>
          )}
        </p>
      </form>
      <p role="status">{says}</p>
      <ol>
        {hints.map((hint) => (
          <li key={hint}>{hint}</li>
        ))}
      </ol>
      {reveal && <p>{reveal.says}</p>}
    </>
  );
}
