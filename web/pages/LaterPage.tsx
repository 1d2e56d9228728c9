import type { JSX } from "preact";
import { exerciseSets } from "../calls/exercises.ts";
import { useLoaded } from "../loaded.ts";
import { Page } from "../views/Page.tsx";
import { Waiting } from "../views/Waiting.tsx";
import { StartLesson } from "./class/StartLesson.tsx";

/** Lessons; the exercises by themselves come later. */
export function LaterPage(): JSX.Element {
  const loaded = useLoaded("exercise sets", exerciseSets);
  return (
    <Page title="Class">
      <Waiting loaded={loaded} what="the sets of exercises">
        {(sets) => <StartLesson sets={sets} />}
      </Waiting>
    </Page>
  );
}
