import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { type SendingAnswer, sendingAnswer } from "../../model/sendingCheck.ts";
import { ActionButton } from "../../views/Empty.tsx";
import { Mark } from "../../views/Mark.tsx";
import type { HeardHere } from "./heard.ts";

interface TenSecondsProps {
  readonly heard: HeardHere;
  readonly listeningCount: number;
}

const CHECK_MS = 10_000;

/** Ten seconds of listening, and one big answer. */
export function TenSeconds({ heard, listeningCount }: TenSecondsProps): JSX.Element {
  const [startedMs, setStartedMs] = useState<number>();
  const [answer, setAnswer] = useState<SendingAnswer>();
  const { nowMs, bursts, telegrams } = heard;
  const leftMs = startedMs === undefined ? 0 : startedMs + CHECK_MS - nowMs;

  useEffect(() => {
    if (startedMs === undefined) return;
    const found = sendingAnswer(bursts, telegrams, listeningCount);
    // A verified telegram is the best that ten seconds can bring: no need to wait for the rest.
    if (leftMs > 0 && found.answer !== "yes") return;
    setAnswer(found);
    setStartedMs(undefined);
  }, [startedMs, leftMs, bursts, telegrams, listeningCount]);

  const start = () => {
    heard.clear();
    setAnswer(undefined);
    setStartedMs(Date.now());
  };

  return (
    <section class="ten-seconds" aria-label="Ten-second check">
      <div role="status" class="answer">
        {startedMs !== undefined && (
          <p class="answer-big">Listening … {Math.max(1, Math.ceil(leftMs / 1000))} s left</p>
        )}
        {startedMs !== undefined && <p>Wake it now, close to the receiver.</p>}
        {answer && <AnswerShown answer={answer} />}
        {startedMs === undefined && !answer && <p>A check takes ten seconds, less if it is heard at once.</p>}
      </div>
      <p class="form-foot">
        <button type="button" class="button main" disabled={startedMs !== undefined} onClick={start}>
          {answer ? "Check once more" : "Check for ten seconds"}
        </button>
        {listeningCount === 0 && <ActionButton action={{ label: "Connect a receiver", href: "/receivers" }} />}
      </p>
    </section>
  );
}

function AnswerShown({ answer }: { readonly answer: SendingAnswer }): JSX.Element {
  return (
    <>
      <p class="answer-big">
        <Mark strength={answer.answer === "yes" ? "as expected" : "look here"} words={answer.big} />
      </p>
      <p>{answer.says}</p>
      {answer.nextSteps.length > 0 && (
        <ol class="next-steps" aria-label="Next steps">
          {answer.nextSteps.map((step) => (
            <li key={step}>{step}</li>
          ))}
        </ol>
      )}
    </>
  );
}
