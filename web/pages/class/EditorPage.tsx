import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { exerciseSetFileAddress } from "../../calls/exercises.ts";
import { useLoaded } from "../../loaded.ts";
import { type ExerciseDraft, freeExerciseId, newExercise } from "../../model/class/exerciseDraft.ts";
import { faultsBeside, withExercise, wrongAt } from "../../model/class/setDraft.ts";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { ExerciseForm } from "./ExerciseForm.tsx";
import { ExercisePreview } from "./ExercisePreview.tsx";
import { SetForm } from "./SetForm.tsx";
import { askSet, type SetAsked, type SetEditor, useSetEditor } from "./useSetEditor.ts";

/** A set of one's own, written: its exercises, and beside each what a student sees of it. */
export function EditorPage({ id }: { readonly id: string }): JSX.Element {
  const loaded = useLoaded(`set file ${id}`, () => askSet(id));
  return (
    <Page
      title="Write a set of exercises"
      lead={
        <>
          Every change is written by itself. <a href={`/class/set/${id}`}>See the set as a student does</a>
        </>
      }
    >
      <Waiting loaded={loaded} what="the set with its answers">
        {(asked) => <Editor id={id} asked={asked} />}
      </Waiting>
    </Page>
  );
}

function Editor({ id, asked }: { readonly id: string; readonly asked: SetAsked }): JSX.Element {
  const editor = useSetEditor(id, asked);
  const { draft, change, faults } = editor;
  const [at, setAt] = useState(0);
  const [found, setFound] = useState<readonly { readonly key: string; readonly says: string }[]>([]);
  const exercise = draft.exercises[at];
  // The preview may complain of what the server refused to write as well.
  const all = [
    ...faults,
    ...found.filter((one) => !faults.some(({ key, says }) => key === one.key && says === one.says)),
  ];

  const add = (one: ExerciseDraft) => {
    change({ ...draft, exercises: [...draft.exercises, one] }, "add");
    setAt(draft.exercises.length);
  };
  const taken = draft.exercises.map((one) => one.id);

  return (
    <div class="editor">
      {editor.conflict && <Conflict conflict={editor.conflict} />}
      {editor.problem && <ProblemNote problem={editor.problem} />}
      <p class="editor-foot">
        <span class="caption" role="status">
          {editor.says}
        </span>
        <button type="button" class="button small" disabled={!editor.undo} onClick={() => editor.undo?.()}>
          Undo
        </button>
        <a class="button small" href={exerciseSetFileAddress(id)} download={`${id}.exercises.json`}>
          Save the set as a file
        </a>
      </p>
      <SetForm draft={draft} faults={all} onChange={change} />
      <section aria-labelledby="editor-exercises">
        <h2 id="editor-exercises">Exercises</h2>
        {draft.exercises.length > 0 && (
          <ol class="editor-list">
            {draft.exercises.map((one, i) => (
              <li key={i}>
                <button
                  type="button"
                  class="editor-exercise"
                  aria-current={i === at ? "true" : undefined}
                  onClick={() => setAt(i)}
                >
                  {one.title === "" ? "without a title" : one.title}
                  {wrongAt(all, `exercises[${i}]`) !== undefined && <Mark strength="look here" />}
                </button>
              </li>
            ))}
          </ol>
        )}
        <p class="form-foot">
          <button type="button" class="button" onClick={() => add(newExercise(freeExerciseId(taken)))}>
            Add an exercise
          </button>
          {exercise && (
            <>
              <button
                type="button"
                class="button"
                onClick={() => add({ ...exercise, id: freeExerciseId(taken, exercise.id.slice(0, 50)) })}
              >
                Copy this exercise
              </button>
              <button
                type="button"
                class="button"
                onClick={() => {
                  change(withExercise(draft, at, undefined), "remove");
                  setAt(Math.max(0, at - 1));
                }}
              >
                Remove this exercise
              </button>
            </>
          )}
        </p>
      </section>
      {exercise && (
        <div class="editor-sides">
          <ExerciseForm
            key={at}
            exercise={exercise}
            at={at}
            faults={all}
            onChange={(one, box) => change(withExercise(draft, at, one), `${at} ${box}`)}
          />
          <ExercisePreview key={`preview ${at}`} draft={draft} at={at} onFaults={setFound} />
        </div>
      )}
      <Others faults={faultsBeside(faults, ["title", "teaches", "level", "minutes", "bands", "exercises"])} />
    </div>
  );
}

/** What no box shows. */
function Others({ faults }: { readonly faults: readonly { readonly key: string; readonly says: string }[] }) {
  if (faults.length === 0) return null;
  return (
    <ul class="complaints" aria-label="Does not fit">
      {faults.map(({ key, says }) => (
        <li key={key}>
          {key}: {says}
        </li>
      ))}
    </ul>
  );
}

function Conflict({ conflict }: { readonly conflict: NonNullable<SetEditor["conflict"]> }): JSX.Element {
  return (
    <section class="conflict" role="alert">
      <p>
        <Mark strength="look here" words="This set was changed elsewhere while you wrote" />
      </p>
      <p>Nothing more is written until you choose.</p>
      <p class="form-foot">
        <button type="button" class="button main" onClick={conflict.keepMine}>
          Write yours over it
        </button>
        <button type="button" class="button" onClick={conflict.keepTheirs}>
          Keep what is there
        </button>
      </p>
    </section>
  );
}
