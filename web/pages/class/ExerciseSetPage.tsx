import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ExerciseSetBody } from "../../../server/http/wire/exercises.ts";
import type { Problem } from "../../api.ts";
import { network } from "../../calls/devices.ts";
import {
  addExerciseSet,
  copyExerciseSet,
  exerciseSet,
  exerciseSetFile,
  exerciseSetFileAddress,
  removeExerciseSet,
} from "../../calls/exercises.ts";
import { useProgress } from "../../classProgress.ts";
import { useLoaded } from "../../loaded.ts";
import { type Fared, faredWords, reviewOrder, setWords } from "../../model/class/progress.ts";
import { isReview, REVIEW_QUERY } from "../../model/class/review.ts";
import { listed } from "../../model/quantities.ts";
import { RUNG_QUESTIONS } from "../../model/rungWords.ts";
import { go } from "../../router.ts";
import { List } from "../../views/List.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";

/** One set: what it teaches, its exercises, and how they went on this device. */
export function ExerciseSetPage({ id }: { readonly id: string }): JSX.Element {
  const loaded = useLoaded(`exercise set ${id}`, () => exerciseSet(id));
  const there = loaded.state === "there" ? loaded.value : undefined;
  return (
    <Page
      title={there?.title ?? "A set of exercises"}
      lead={
        <>
          {there?.teaches ?? ""} <a href="/class">All sets</a>
        </>
      }
    >
      <Waiting loaded={loaded} what="the set">
        {(set) => <SetParts set={set} />}
      </Waiting>
    </Page>
  );
}

function SetParts({ set }: { readonly set: ExerciseSetBody }): JSX.Element {
  const { progress } = useProgress();
  const fared = progress[set.id];
  const [review, setReview] = useState(() => isReview(location.search));
  const exercises = review ? reviewOrder(set.exercises, fared) : set.exercises;
  const turn = () => {
    history.replaceState(null, "", review ? location.pathname : REVIEW_QUERY);
    setReview(!review);
  };
  return (
    <>
      <p>
        {set.level}, {set.minutes} min{set.bands.length > 0 && `, ${listed(set.bands)}`}.
        {set.exercises.length > 0 && ` On this device: ${setWords(set.exercises.length, fared)}.`}
      </p>
      {set.exercises.length > 1 && (
        <p class="form-foot">
          <button type="button" class="button" aria-pressed={review} onClick={turn}>
            Review what you missed first
          </button>
        </p>
      )}
      <List
        label="Exercises"
        class="rows"
        items={exercises}
        keyOf={({ id }) => id}
        empty={
          set.own
            ? {
                says: "The set has no exercises yet.",
                action: { label: "Write the first one", href: `/class/edit/${set.id}` },
              }
            : { says: "The set has no exercises yet.", action: { label: "All sets", href: "/class" } }
        }
      >
        {(exercise) => <ExerciseEntry exercise={exercise} set={set.id} review={review} fared={fared?.[exercise.id]} />}
      </List>
      <SetAsFile set={set} />
    </>
  );
}

interface ExerciseEntryProps {
  readonly exercise: ExerciseSetBody["exercises"][number];
  readonly set: string;
  readonly review: boolean;
  readonly fared: Fared | undefined;
}

function ExerciseEntry({ exercise, set, review, fared }: ExerciseEntryProps): JSX.Element {
  const { id, title, rung } = exercise;
  return (
    <a class="row row-exercise" href={`/class/set/${set}/${id}${review ? REVIEW_QUERY : ""}`}>
      <span class="row-title">
        {title}
        {rung !== null && <span class="row-sub">Rung: {RUNG_QUESTIONS[rung]}</span>}
      </span>
      <span class="row-when">{faredWords(fared)}</span>
    </a>
  );
}

/** Copy, change, save and remove. What shows answers is for the computer itself. */
function SetAsFile({ set }: { readonly set: ExerciseSetBody }): JSX.Element {
  const here = useLoaded("network", network);
  const [problem, setProblem] = useState<Problem>();
  const isHere = here.state === "there" && here.value.here;
  const copy = async () => {
    const answer = await copyExerciseSet(set.id);
    if (answer.ok)
      go(isHere ? { page: "exerciseEditor", id: answer.value.id } : { page: "exerciseSet", id: answer.value.id });
    else setProblem(answer.problem);
  };
  return (
    <section aria-labelledby="set-file">
      <h2 id="set-file">This set as yours</h2>
      {problem && <ProblemNote problem={problem} />}
      <p class="form-foot">
        {set.own && isHere && (
          <>
            <a class="button" href={`/class/edit/${set.id}`}>
              Change this set
            </a>
            <a class="button" href={exerciseSetFileAddress(set.id)} download={`${set.id}.exercises.json`}>
              Save the set as a file
            </a>
          </>
        )}
        <button type="button" class="button" onClick={() => void copy()}>
          Copy this set
        </button>
        {set.own && isHere && <RemoveSet set={set} onProblem={setProblem} />}
      </p>
      {here.state === "there" && !isHere && (
        <p class="caption">A set is changed and saved at the computer that runs Wheelgram: its answers are in it.</p>
      )}
    </section>
  );
}

interface RemoveSetProps {
  readonly set: ExerciseSetBody;
  readonly onProblem: (problem: Problem | undefined) => void;
}

/** Removes the set at once; its file is taken before, so that it can be brought back as long as the page is open. */
function RemoveSet({ set, onProblem }: RemoveSetProps): JSX.Element {
  const [removed, setRemoved] = useState<unknown>();
  const remove = async () => {
    const file = await exerciseSetFile(set.id);
    if (!file.ok) return onProblem(file.problem);
    const answer = await removeExerciseSet(set.id, set.revision);
    onProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) setRemoved(file.value);
  };
  const back = async () => {
    const answer = await addExerciseSet(removed);
    onProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    setRemoved(undefined);
    // Brought back it begins at its first revision.
    location.reload();
  };
  return (
    <>
      {removed === undefined ? (
        <button type="button" class="button" onClick={() => void remove()}>
          Remove this set
        </button>
      ) : (
        <span role="status">
          The set is removed.{" "}
          <button type="button" class="button small" onClick={() => void back()}>
            Undo
          </button>
        </span>
      )}
    </>
  );
}
