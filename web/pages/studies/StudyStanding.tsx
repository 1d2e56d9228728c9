import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { StudyBody, StudyHeadBody } from "../../../server/http/wire/studies.ts";
import { useAction } from "../../actionsHere.ts";
import type { Answer, Problem } from "../../api.ts";
import { startStudy, stopStudy } from "../../calls/studies.ts";
import { countsWords, isAtWork, standingWords } from "../../model/study/studyWords.ts";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface StudyStandingProps {
  readonly study: StudyBody;
  /** It is asked for anew: by the time an answer is here, an event may have told what came after it. */
  readonly onChanged: () => void;
}

/** How far a study is, and what can be done about it. */
export function StudyStanding({ study, onChanged }: StudyStandingProps): JSX.Element {
  const { id, state, share, counts } = study;
  const [problem, setProblem] = useState<Problem>();
  const atWork = isAtWork(study);
  const waits = state === "stopped" || state === "failed";
  const failed = state === "done" && counts.failed > 0;

  const after = async (asking: Promise<Answer<StudyHeadBody>>) => {
    const answer = await asking;
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) onChanged();
  };
  const stop = () => void after(stopStudy(id));
  const goOn = () => void after(startStudy(id, false));
  const retry = () => void after(startStudy(id, true));
  useAction("study.stop", stop, atWork && state !== "stopping");
  useAction("study.goOn", goOn, waits);
  useAction("study.retry", retry, failed || (waits && counts.failed > 0));

  return (
    <section class="study-standing" aria-label="How far it is">
      <p class="answer-line" role="status">
        {state === "failed" && <Mark strength="look here" words="Not done" />} {standingWords(study)}
      </p>
      {atWork && <progress max={1} value={share} aria-label="How far it is" />}
      {atWork && (
        <p class="caption">
          This tab may be closed: the server goes on, also after it was started anew.
          {counts.total > 0 && ` ${counts.total} inputs: ${countsWords(counts)}.`}
        </p>
      )}
      <p class="form-foot">
        {atWork && (
          <button type="button" class="button" disabled={state === "stopping"} onClick={stop}>
            Stop the study
          </button>
        )}
        {waits && (
          <button type="button" class="button main" onClick={goOn}>
            Go on
          </button>
        )}
        {(failed || (waits && counts.failed > 0)) && (
          <button type="button" class="button" onClick={retry}>
            Try the failed ones again
          </button>
        )}
      </p>
      {problem && <ProblemNote problem={problem} />}
    </section>
  );
}
