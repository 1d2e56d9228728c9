import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { SittingBody } from "../../../server/http/wire/exercises.ts";
import type { SeatBody } from "../../../server/http/wire/lessons.ts";
import type { Answer, Problem } from "../../api.ts";
import { answerExercise, nextHint, openExercise, seeAnswer } from "../../calls/lessons.ts";
import { useLoaded } from "../../loaded.ts";
import { SittingView } from "../../views/class/SittingView.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";

interface SeatExerciseProps {
  readonly exercise: SeatBody["exercises"][number];
  readonly onChanged: () => void;
}

/** One exercise of a lesson, as it is drawn for this seat. */
export function SeatExercise({ exercise, onChanged }: SeatExerciseProps): JSX.Element {
  const { id, revealed } = exercise;
  const loaded = useLoaded(id, () => openExercise(id));
  const [problem, setProblem] = useState<Problem>();
  const took = (answer: Answer<SittingBody>) => {
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) loaded.put(answer.value);
    onChanged();
  };
  return (
    <>
      {problem && <ProblemNote problem={problem} />}
      <Waiting loaded={loaded} what="your own draw of it">
        {(sitting) => (
          <SittingView
            sitting={sitting}
            onAnswer={async (given) => {
              const answer = await answerExercise(id, given);
              took(answer.ok ? { ok: true, value: answer.value.sitting } : answer);
              return answer.ok ? answer.value : undefined;
            }}
            onHint={() => void nextHint(id, sitting.hints.length).then(took)}
            onReveal={revealed ? () => void seeAnswer(id).then(took) : undefined}
          />
        )}
      </Waiting>
    </>
  );
}
