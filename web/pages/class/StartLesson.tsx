import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ExerciseSetHeadBody } from "../../../server/http/wire/exercises.ts";
import type { Problem } from "../../api.ts";
import { network } from "../../calls/devices.ts";
import { lessons, startLesson } from "../../calls/lessons.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { codeInGroups } from "../../model/class/boardWords.ts";
import { addressOf } from "../../model/route.ts";
import { go } from "../../router.ts";
import { Empty } from "../../views/Empty.tsx";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { NotOpen } from "./NotOpen.tsx";
import "./lesson.css";

interface StartLessonProps {
  readonly sets: readonly ExerciseSetHeadBody[];
  /** Id of the set that is chosen at first. */
  readonly set?: string;
}

const MOST_SEATS = 60;
const USUAL_SEATS = 30;

/** Begins a lesson with a set, and leads to those that are on. */
export function StartLesson({ sets, set }: StartLessonProps): JSX.Element {
  const full = sets.filter(({ exercises }) => exercises > 0);
  const [chosen, setChosen] = useState(set ?? full[0]?.id ?? "");
  const [seats, setSeats] = useState(String(USUAL_SEATS));
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const how = useLoaded("network", network);
  const count = /^\d{1,2}$/.test(seats.trim()) ? Number(seats) : 0;
  const fits = count >= 1 && count <= MOST_SEATS;
  const start = async () => {
    setBusy(true);
    const answer = await startLesson(chosen, count);
    setBusy(false);
    if (answer.ok) go({ page: "board", code: answer.value.code });
    else setProblem(answer.problem);
  };
  if (full.length === 0) {
    const action = { label: "Open the recordings", href: "/recordings" };
    return <Empty says="No set has an exercise, so there is no lesson to start." action={action} />;
  }
  return (
    <section aria-labelledby="start-lesson" class="start-lesson">
      <h2 id="start-lesson">Start a lesson</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void start();
        }}
      >
        <PickOne
          label="Set"
          value={chosen}
          options={full.map(({ id, title, minutes }) => [id, `${title}, ${minutes} min`] as const)}
          onChange={setChosen}
        />
        <TextField
          label="Seats"
          value={seats}
          onInput={setSeats}
          numeric
          maxLength={2}
          wrong={fits ? undefined : `A number from 1 to ${MOST_SEATS}.`}
        />
        {problem && <ProblemNote problem={problem} />}
        {how.state === "there" && !how.value.open && <NotOpen open={false} />}
        <p class="form-foot">
          <button type="submit" class="button main" disabled={busy || !fits || chosen === ""}>
            Start the lesson
          </button>
        </p>
      </form>
      <LessonsOn />
    </section>
  );
}

function LessonsOn(): JSX.Element | null {
  const loaded = useLoaded("lessons", lessons);
  useLiveReload(["lesson", "snapshot"], loaded.reload);
  if (loaded.state === "failed") return <ProblemNote problem={loaded.problem} again={loaded.reload} />;
  const on = loaded.state === "there" ? loaded.value.filter(({ endedAt }) => endedAt === null) : [];
  if (on.length === 0) return null;
  return (
    <>
      <h3>Lessons that are on</h3>
      <ul class="plain-list">
        {on.map(({ code, set, joined, seats }) => (
          <li key={code}>
            <a href={addressOf({ page: "board", code })}>
              {codeInGroups(code)}: {set.title}
            </a>
            , {joined} of {seats} seats taken
          </li>
        ))}
      </ul>
    </>
  );
}
