import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ReceiverBody, SelfCheckBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { selfCheck } from "../../calls/receivers.ts";
import { RUNG_QUESTIONS } from "../../model/rungWords.ts";
import { timeShown } from "../../model/times.ts";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface SelfCheckProps {
  readonly receiver: ReceiverBody;
  readonly onChecked: () => void;
}

/** The first three rungs of the check ladder, climbed by the receiver itself when somebody asks for it. */
export function SelfCheck({ receiver, onChecked }: SelfCheckProps): JSX.Element {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const [made, setMade] = useState<SelfCheckBody>();
  const checked = made ?? receiver.selfCheck;
  const check = async () => {
    setBusy(true);
    const answer = await selfCheck(receiver.id);
    setBusy(false);
    setProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    setMade(answer.value);
    onChecked();
  };
  return (
    <section class="self-check" aria-label={`Self-check of ${receiver.name}`}>
      <p aria-live="polite">
        {busy
          ? "Listening for 10 seconds. Hold a sensor that is known to be good to it, and wake it."
          : checked === null
            ? "It was never checked."
            : `${checked.passed ? "It hears" : "Not shown that it hears"}: self-check of ${timeShown(checked.at)}.`}
      </p>
      {!busy && checked !== null && (
        <ol class="rungs">
          {checked.rungs.map(({ rung, passed, because, nextStep }) => (
            <li
              key={rung}
              class={`rung rung-${passed === true ? "passed" : passed === false ? "missed" : "not-reached"}`}
            >
              <p class="rung-head">
                <span class="rung-question">{RUNG_QUESTIONS[rung]}</span>
                {passed === false ? (
                  <Mark strength="look here" words="missed" />
                ) : (
                  <span class="rung-state">{passed ? "yes" : "cannot tell"}</span>
                )}
              </p>
              <p class="rung-says">{because}</p>
              {nextStep !== null && (
                <p class="next-step">
                  <b>Next step:</b> {nextStep}
                </p>
              )}
            </li>
          ))}
        </ol>
      )}
      {problem && <ProblemNote problem={problem} />}
      <p class="form-foot">
        <button type="button" class="button" disabled={busy} onClick={() => void check()}>
          Self-check now<span class="heard-only">, {receiver.name}</span>
        </button>
      </p>
    </section>
  );
}
