import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { SittingBody } from "../../../server/http/wire/exercises.ts";
import type { Answer, Problem } from "../../api.ts";
import {
  answerSitting,
  beginSitting,
  exerciseSet,
  hintSitting,
  keepSitting,
  revealSitting,
  sitting as sittingOf,
} from "../../calls/exercises.ts";
import { type ProgressHere, useProgress } from "../../classProgress.ts";
import { keepSittingId, keptSitting } from "../../device.ts";
import { useLoaded } from "../../loaded.ts";
import { isReview, nextExercise, REVIEW_QUERY } from "../../model/class/review.ts";
import { RUNG_QUESTIONS } from "../../model/rungWords.ts";
import { go } from "../../router.ts";
import { SittingView } from "../../views/class/SittingView.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";

/** An exercise in self-study: one draw of it, and another one whenever somebody likes. */
export function ExercisePage({ set, id }: { readonly set: string; readonly id: string }): JSX.Element {
  const [round, setRound] = useState(0);
  const loaded = useLoaded(`sitting ${set} ${id} ${round}`, () => begun(set, id, round > 0));
  const here = useProgress();
  const there = loaded.state === "there" ? loaded.value : undefined;
  const rung = there?.material.rung ?? null;
  return (
    <Page
      title={there?.material.title ?? "An exercise"}
      lead={
        <>
          {rung !== null && `Rung: ${RUNG_QUESTIONS[rung]} `}
          <a href={`/class/set/${set}${isReview(location.search) ? REVIEW_QUERY : ""}`}>
            {there?.set.title ?? "The set"}
          </a>
        </>
      }
    >
      <Waiting loaded={loaded} what="the exercise, which is drawn and put on the air">
        {(sitting) => (
          <Sitting
            key={sitting.id}
            sitting={sitting}
            here={here}
            onChanged={loaded.put}
            onAnother={() => setRound(round + 1)}
          />
        )}
      </Waiting>
    </Page>
  );
}

/** The sitting that this tab was at, or a new draw. */
async function begun(set: string, id: string, anew: boolean): Promise<Answer<SittingBody>> {
  const name = `${set}/${id}`;
  const kept = anew ? null : keptSitting(name);
  if (kept !== null) {
    const before = await sittingOf(kept);
    if (before.ok) return before;
  }
  const answer = await beginSitting(set, id);
  if (answer.ok) keepSittingId(name, answer.value.id);
  return answer;
}

interface SittingProps {
  readonly sitting: SittingBody;
  readonly here: ProgressHere;
  readonly onChanged: (sitting: SittingBody) => void;
  readonly onAnother: () => void;
}

function Sitting({ sitting, here, onChanged, onAnother }: SittingProps): JSX.Element {
  const [problem, setProblem] = useState<Problem>();
  const took = (answer: Answer<SittingBody>) => {
    setProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    here.took(sitting, answer.value);
    onChanged(answer.value);
  };
  return (
    <>
      <SittingView
        sitting={sitting}
        onAnswer={async (given) => {
          const answer = await answerSitting(sitting.id, given);
          took(answer.ok ? { ok: true, value: answer.value.sitting } : answer);
          return answer.ok ? answer.value : undefined;
        }}
        onHint={() => void hintSitting(sitting.id).then(took)}
        onReveal={() => void revealSitting(sitting.id).then(took)}
        after={<Onwards sitting={sitting} here={here} onAnother={onAnother} onProblem={setProblem} />}
      />
      {problem && <ProblemNote problem={problem} />}
    </>
  );
}

interface OnwardsProps extends Pick<SittingProps, "sitting" | "here" | "onAnother"> {
  readonly onProblem: (problem: Problem) => void;
}

/** What comes after an exercise. */
function Onwards({ sitting, here, onAnother, onProblem }: OnwardsProps): JSX.Element {
  const { set, material, hasRecording } = sitting;
  const loaded = useLoaded(`exercise set ${set.id}`, () => exerciseSet(set.id));
  const [busy, setBusy] = useState(false);
  const review = isReview(location.search);
  const exercises = loaded.state === "there" ? loaded.value.exercises : [];
  const next = nextExercise(exercises, material.id, here.progress[set.id], review);
  const keep = async () => {
    setBusy(true);
    const answer = await keepSitting(sitting.id);
    setBusy(false);
    if (answer.ok) go({ page: "recording", hash: answer.value.hash });
    else onProblem(answer.problem);
  };
  return (
    <p class="form-foot">
      {next && (
        <a class="button main" href={`/class/set/${set.id}/${next.id}${review ? REVIEW_QUERY : ""}`}>
          Next exercise<span class="heard-only">: {next.title}</span>
        </a>
      )}
      <button type="button" class="button" onClick={onAnother}>
        Another draw
      </button>
      {hasRecording && (
        <button type="button" class="button" disabled={busy} onClick={() => void keep()}>
          Keep the recording and open it
        </button>
      )}
    </p>
  );
}
