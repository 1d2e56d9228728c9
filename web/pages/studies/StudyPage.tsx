import type { JSX } from "preact";
import { useCallback, useEffect, useState } from "preact/hooks";
import type { StudyBody } from "../../../server/http/wire/studies.ts";
import { study as askStudy } from "../../calls/studies.ts";
import { useLive } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { showsBursts, studyViewOf } from "../../model/study/address.ts";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { RemoveStudy } from "./RemoveStudy.tsx";
import { StudyBursts } from "./StudyBursts.tsx";
import { StudyInputs } from "./StudyInputs.tsx";
import { StudyLadder } from "./StudyLadder.tsx";
import { StudyRun } from "./StudyRun.tsx";
import { StudySettings } from "./StudySettings.tsx";
import { StudyStanding } from "./StudyStanding.tsx";
import "./studies.css";

/** One study: how far it is, where its inputs stopped, and what it came to. */
export function StudyPage({ id }: { readonly id: string }): JSX.Element {
  const loaded = useLoaded(`study ${id}`, () => askStudy(id));
  const { reload, put } = loaded;
  const there = loaded.state === "there" ? loaded.value : undefined;
  useLive(
    "study",
    useCallback(
      (event) => {
        if (event.id !== id) return;
        // What goes on by itself is in the event; what was counted is asked for when the count has changed.
        if (!there || !event.study || countKey(event.study) !== countKey(there)) reload();
        else put({ ...there, ...event.study });
      },
      [id, there, reload, put],
    ),
  );
  useLive("snapshot", reload);
  const view = useStudyView();
  return (
    <Page
      title={there?.title ?? `Study ${id}`}
      lead={
        <>
          Study <span class="fixed-width">{id}</span>, one of the <a href="/studies">studies</a>
          {there?.trial ? "; a try of five of its inputs" : ""}
        </>
      }
    >
      <Waiting loaded={loaded} what="the study">
        {(study) => (
          <>
            <StudyStanding study={study} onChanged={reload} />
            <StudyLadder study={study} view={view} />
            {showsBursts(view) && <StudyBursts study={study} view={view} />}
            <StudyInputs study={study} view={view} />
            {study.hasResults && <StudyRun study={study} />}
            <StudySettings study={study} />
            <RemoveStudy id={id} />
          </>
        )}
      </Waiting>
    </Page>
  );
}

/** Changes when inputs were brought to an end, or results made. */
function countKey({ state, counts, hasResults }: Pick<StudyBody, "state" | "counts" | "hasResults">): string {
  return [state, counts.done, counts.failed, counts.skipped, counts.total, hasResults].join(" ");
}

/** What of it is looked at, as the address has it. */
function useStudyView() {
  const [search, setSearch] = useState(location.search);
  useEffect(() => {
    const follow = () => setSearch(location.search);
    window.addEventListener("popstate", follow);
    return () => window.removeEventListener("popstate", follow);
  }, []);
  return studyViewOf(search);
}
