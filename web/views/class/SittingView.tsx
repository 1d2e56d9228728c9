import type { ComponentChildren, JSX } from "preact";
import { useState } from "preact/hooks";
import type { SittingBody } from "../../../server/http/wire/exercises.ts";
import { counted } from "../../model/quantities.ts";
import { Mark } from "../Mark.tsx";
import { AnswerForm } from "./AnswerForm.tsx";
import { GivenView } from "./GivenView.tsx";
import { RevealView } from "./RevealView.tsx";
import "./sitting.css";

interface SittingViewProps {
  readonly sitting: SittingBody;
  /** What came of an answer; `undefined` where it did not arrive. */
  readonly onAnswer: (answer: string | string[]) => Promise<{ right: boolean; says: string } | undefined>;
  readonly onHint: () => void;
  /** Without it nobody is told before the class is. */
  readonly onReveal?: (() => void) | undefined;
  /** What was said to the last answer, where it was given before the page was opened. */
  readonly says?: string | undefined;
  /** What can be done once it is over, below the reveal. */
  readonly after?: ComponentChildren;
}

/** One go at an exercise: what is asked and given, the answer, hints, and at the end the reveal. */
export function SittingView(props: SittingViewProps): JSX.Element {
  const { sitting, onAnswer, onHint, onReveal, says, after } = props;
  const { material, hints, reveal, state } = sitting;
  const [judged, setJudged] = useState<{ readonly right: boolean; readonly says: string }>();
  const [beganOpen] = useState(state === "looking");
  const said = judged?.says ?? says;
  const isOver = state !== "looking";

  const answer = async (given: string | string[]) => {
    const came = await onAnswer(given);
    if (came) setJudged(came);
  };

  return (
    <div class="sitting">
      {material.cautions.length > 0 && (
        <ul class="list cautions" aria-label="Cautions">
          {material.cautions.map((caution) => (
            <li key={caution}>
              <Mark strength="look here" words="Caution" /> {caution}
            </li>
          ))}
        </ul>
      )}
      <p class="question">{material.question}</p>
      {material.gives.map((given, i) => (
        <GivenView key={i} given={given} />
      ))}
      <section aria-labelledby="answer-heading">
        <h2 id="answer-heading">Your answer</h2>
        <AnswerForm asked={material.asks} isOver={isOver} onAnswer={answer} />
        <p class="judged" role="status">
          {said !== undefined &&
            (state === "solved" || judged?.right ? <b>{said}</b> : <Mark strength="look here" words={said} />)}
        </p>
      </section>
      <Hints hints={hints} count={material.hintCount} isOver={isOver} onHint={onHint} onReveal={onReveal} />
      {reveal && <RevealView reveal={reveal} state={state} tries={sitting.tries} cameNow={beganOpen} after={after} />}
    </div>
  );
}

interface HintsProps {
  readonly hints: readonly string[];
  readonly count: number;
  readonly isOver: boolean;
  readonly onHint: () => void;
  readonly onReveal: (() => void) | undefined;
}

function Hints({ hints, count, isOver, onHint, onReveal }: HintsProps): JSX.Element {
  const left = count - hints.length;
  return (
    <section aria-label="Hints">
      {hints.length > 0 && (
        <ol class="hints" aria-live="polite">
          {hints.map((hint) => (
            <li key={hint}>{hint}</li>
          ))}
        </ol>
      )}
      {!isOver && (
        <p class="form-foot">
          <button type="button" class="button" disabled={left === 0} onClick={onHint}>
            Next hint<span class="heard-only">: {counted(left, "hint")} left</span>
          </button>
          {onReveal && (
            <button type="button" class="button" onClick={onReveal}>
              Have it told
            </button>
          )}
          <span class="caption">{left === 0 ? "No more hints." : `${counted(left, "hint")} left.`}</span>
        </p>
      )}
    </section>
  );
}
