import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ExerciseSetHeadBody } from "../../../server/http/wire/exercises.ts";
import type { Problem } from "../../api.ts";
import { addExerciseSet, exerciseSets } from "../../calls/exercises.ts";
import { useProgress } from "../../classProgress.ts";
import { useLoaded } from "../../loaded.ts";
import { newSet } from "../../model/class/newSet.ts";
import { type ClassProgress, setWords } from "../../model/class/progress.ts";
import { jsonFromText } from "../../model/jsonText.ts";
import { counted, listed } from "../../model/quantities.ts";
import { go } from "../../router.ts";
import { List } from "../../views/List.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { StartLesson } from "./StartLesson.tsx";

/** What can be learnt here: sets of exercises, tools to try things with, and lessons for a room. */
export function ClassPage(): JSX.Element {
  const loaded = useLoaded("exercise sets", exerciseSets);
  const { progress, forget } = useProgress();
  const [back, setBack] = useState<() => void>();
  const hasProgress = Object.keys(progress).length > 0;
  return (
    <Page
      title="Class"
      lead="Exercises on reading sensors and on finding out why a wheel is silent. Each is drawn anew, and how you fared stays on this device."
    >
      <section aria-labelledby="sets">
        <h2 id="sets">Sets of exercises</h2>
        <Waiting loaded={loaded} what="the sets">
          {(all) => (
            <List
              label="Sets of exercises"
              class="rows"
              items={all}
              keyOf={({ id }) => id}
              empty={{
                says: "No set of exercises is here.",
                action: { label: "See what else is here", href: "/recordings" },
              }}
            >
              {(set) => <SetEntry set={set} progress={progress} />}
            </List>
          )}
        </Waiting>
        <p class="form-foot">
          <button
            type="button"
            class="button"
            disabled={!hasProgress}
            onClick={() => {
              const undo = forget();
              setBack(() => undo);
            }}
          >
            Forget my progress
          </button>
          <span class="caption" role="status">
            {back !== undefined && !hasProgress && (
              <>
                Forgotten on this device.{" "}
                <button
                  type="button"
                  class="button small"
                  onClick={() => {
                    back();
                    setBack(undefined);
                  }}
                >
                  Undo
                </button>
              </>
            )}
          </span>
        </p>
      </section>
      {loaded.state === "there" && <StartLesson sets={loaded.value} />}
      <section aria-labelledby="tools">
        <h2 id="tools">Tools to try things with</h2>
        <ul class="list tools">
          <li>
            <a href="/class/two-bands">Two bands</a>
            <span class="caption">One telegram at 315 and at 433.92 MHz: what changes, and what does not.</span>
          </li>
          <li>
            <a href="/class/collisions">Collisions</a>
            <span class="caption">Many sensors on one frequency: how many telegrams still come through.</span>
          </li>
          <li>
            <a href="/class/make">Make one yourself</a>
            <span class="caption">Write a telegram, see it on the air, and break it.</span>
          </li>
        </ul>
      </section>
      <OwnSets onAdded={loaded.reload} />
    </Page>
  );
}

function SetEntry({
  set,
  progress,
}: {
  readonly set: ExerciseSetHeadBody;
  readonly progress: ClassProgress;
}): JSX.Element {
  const { id, title, teaches, level, minutes, bands, exercises, own } = set;
  return (
    <a class="row row-set" href={`/class/set/${id}`}>
      <span class="row-title">
        {title}
        <span class="row-sub">{teaches}</span>
      </span>
      <span class="row-text">
        {level}, {minutes} min
        <span class="row-sub">
          {counted(exercises, "exercise")}
          {bands.length > 0 && `, ${listed(bands)}`}
          {own && ", made here"}
        </span>
      </span>
      <span class="row-when">{setWords(exercises, progress[id])}</span>
    </a>
  );
}

/** Sets that somebody writes here or brings in as a file. */
function OwnSets({ onAdded }: { readonly onAdded: () => void }): JSX.Element {
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const add = async (set: unknown, page: "exerciseEditor" | "exerciseSet") => {
    setBusy(true);
    const answer = await addExerciseSet(set);
    setBusy(false);
    setProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    onAdded();
    go({ page, id: answer.value.id });
  };
  const bring = async (file: File) => {
    const read = jsonFromText(await file.text());
    if (read.ok) await add(read.value, "exerciseSet");
    else setProblem(read.problem);
  };
  return (
    <section aria-labelledby="own">
      <h2 id="own">Sets of your own</h2>
      <p class="caption">
        A set is one file. Its answers are in it, so write and save sets at the computer that runs Wheelgram.
      </p>
      {problem && <ProblemNote problem={problem} />}
      <p class="form-foot">
        <button type="button" class="button" disabled={busy} onClick={() => void add(newSet(), "exerciseEditor")}>
          New set
        </button>
      </p>
      <label class="file">
        <span>Bring in a set</span>
        <input
          type="file"
          accept=".json,application/json"
          disabled={busy}
          onChange={(event) => {
            const box = event.currentTarget;
            const file = box.files?.[0];
            // The same file may be brought in again once it was mended.
            if (file) void bring(file).finally(() => (box.value = ""));
          }}
        />
      </label>
    </section>
  );
}
