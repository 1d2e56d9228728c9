import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { PreviewBody, SittingBody } from "../../../server/http/wire/exercises.ts";
import type { Problem } from "../../api.ts";
import { previewExercise } from "../../calls/exercises.ts";
import type { Fault } from "../../model/class/exerciseDraft.ts";
import { faultsOfPreview, faultsOfProblem, fileOf, type SetDraft } from "../../model/class/setDraft.ts";
import { SittingView } from "../../views/class/SittingView.tsx";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface ExercisePreviewProps {
  readonly draft: SetDraft;
  /** Which exercise of it. */
  readonly at: number;
  readonly onFaults: (faults: readonly Fault[]) => void;
}

const WAIT_MS = 600;

/** One draw as a student sees it, and whether the tool finds the stated answer itself. */
export function ExercisePreview({ draft, at, onFaults }: ExercisePreviewProps): JSX.Element {
  const [draw, setDraw] = useState(1);
  const [preview, setPreview] = useState<PreviewBody>();
  const [problem, setProblem] = useState<Problem>();
  const turn = useRef(0);
  const exercise = draft.exercises[at];
  // Alone: the others do not stand in its way, and less goes over the wire.
  const { file, faults } = fileOf({ ...draft, exercises: exercise ? [exercise] : [] });
  const text = JSON.stringify(file);

  useEffect(() => {
    turn.current += 1;
    const mine = turn.current;
    if (!exercise || faults.length > 0) return;
    const timer = setTimeout(() => {
      void previewExercise(file, exercise.id, draw).then((answer) => {
        if (turn.current !== mine) return;
        const complaints = answer.ok ? undefined : answer.problem.complaints;
        setPreview(answer.ok ? answer.value : undefined);
        setProblem(answer.ok || complaints ? undefined : answer.problem);
        onFaults(answer.ok ? faultsOfPreview(answer.value, at) : moved(faultsOfProblem({ complaints }), at));
      });
    }, WAIT_MS);
    return () => clearTimeout(timer);
  }, [text, draw, faults.length]);
  // Its complaints go with it.
  useEffect(() => () => onFaults([]), []);

  return (
    <section class="preview" aria-labelledby="preview-heading">
      <h3 id="preview-heading">As a student sees it: draw {draw}</h3>
      <p class="form-foot">
        <button type="button" class="button small" disabled={draw === 1} onClick={() => setDraw(draw - 1)}>
          Draw before
        </button>
        <button type="button" class="button small" onClick={() => setDraw(draw + 1)}>
          Next draw
        </button>
      </p>
      {problem && <ProblemNote problem={problem} />}
      <Agreement preview={preview} />
      {preview?.shown && <Shown key={`${draw} ${text}`} shown={preview.shown} set={draft} />}
    </section>
  );
}

/** The server saw it as the first of a set of one. */
function moved(faults: readonly Fault[], at: number): Fault[] {
  return faults.map(({ key, says }) => ({ key: key.replace(/^exercises\[0\]/, `exercises[${at}]`), says }));
}

function Agreement({ preview }: { readonly preview: PreviewBody | undefined }): JSX.Element {
  const shown = preview?.shown;
  return (
    <div role="status" class="agreement">
      {preview && (
        <p>
          {shown ? (
            <>
              The tool finds {shown.found}:{" "}
              {shown.agrees ? <b>agrees</b> : <Mark strength="look here" words="does not agree" />}
            </>
          ) : (
            <Mark strength="look here" words="This draw does not work out" />
          )}
        </p>
      )}
      {preview && preview.complaints.length > 0 && (
        <ul class="complaints">
          {preview.complaints.map(({ key, says }) => (
            <li key={key + says}>{says}</li>
          ))}
        </ul>
      )}
    </div>
  );
}

const NOT_JUDGED = "A preview judges nothing. Open the set as a student to try answers.";

function Shown({ shown, set }: { readonly shown: NonNullable<PreviewBody["shown"]>; readonly set: SetDraft }) {
  const [hints, setHints] = useState(0);
  const [told, setTold] = useState(false);
  const sitting: SittingBody = {
    id: "preview",
    set: { id: set.id, title: set.title },
    material: shown.material,
    state: told ? "told" : "looking",
    tries: 0,
    hints: shown.hints.slice(0, hints),
    reveal: told ? shown.reveal : null,
    hasRecording: false,
  };
  return (
    <SittingView
      sitting={sitting}
      onAnswer={async () => ({ right: false, says: NOT_JUDGED })}
      onHint={() => setHints(hints + 1)}
      onReveal={() => setTold(true)}
    />
  );
}
