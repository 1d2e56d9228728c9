import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { SeatBody } from "../../../server/http/wire/lessons.ts";
import { seat } from "../../calls/lessons.ts";
import { useLoaded } from "../../loaded.ts";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { SeatExercise } from "./SeatExercise.tsx";
import { SeatExercises } from "./SeatExercises.tsx";
import "./lesson.css";

/** Phones ask so seldom, each at a moment of its own, so that forty of them do not ask at once. */
const LOOK_MS = 3000;
const SPREAD_MS = 2000;

/** A student's page: the exercises of the lesson, one of them open. */
export function SeatPage(): JSX.Element {
  const loaded = useLoaded("seat", seat);
  useLooking(loaded.reload);
  const open = useOpen();
  if (loaded.state === "loading")
    return (
      <Page title="Your seat" lead="Asking the server for your seat …">
        {null}
      </Page>
    );
  if (loaded.state === "failed") {
    if (loaded.problem.status !== 401) {
      return (
        <Page title="Your seat">
          <ProblemNote problem={loaded.problem} again={loaded.reload} />
        </Page>
      );
    }
    return (
      <Page title="You have no seat" lead="The lesson has ended, or its seats were wiped for the next class.">
        <p>
          <a class="button main" href="/class/join">
            Take a seat
          </a>
        </p>
      </Page>
    );
  }
  const now: SeatBody = loaded.value;
  const exercise = now.exercises.find(({ id }) => id === open);
  if (!exercise) {
    return (
      <Page title={`Seat ${now.number}`} lead={now.title}>
        <SeatExercises exercises={now.exercises} />
      </Page>
    );
  }
  return (
    <Page title={exercise.title} lead={`Seat ${now.number}, ${now.title}`}>
      <p>
        <a class="button" href="/class/seat">
          All exercises
        </a>
      </p>
      <SeatExercise key={exercise.id} exercise={exercise} onChanged={loaded.reload} />
    </Page>
  );
}

/** The exercise that the address names behind its #, so that a phone's own way back leads to the list. */
function useOpen(): string {
  const [open, setOpen] = useState(() => location.hash.slice(1));
  useEffect(() => {
    const follow = () => setOpen(location.hash.slice(1));
    addEventListener("hashchange", follow);
    addEventListener("popstate", follow);
    return () => {
      removeEventListener("hashchange", follow);
      removeEventListener("popstate", follow);
    };
  }, []);
  return open;
}

function useLooking(reload: () => void): void {
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout>;
    const later = () => {
      timer = setTimeout(
        () => {
          if (!document.hidden) reload();
          later();
        },
        LOOK_MS + Math.random() * SPREAD_MS,
      );
    };
    later();
    const shown = () => void (document.hidden || reload());
    document.addEventListener("visibilitychange", shown);
    return () => {
      clearTimeout(timer);
      document.removeEventListener("visibilitychange", shown);
    };
  }, [reload]);
}
