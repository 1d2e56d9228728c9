import type { JSX } from "preact";
import type { StudyHeadBody } from "../../../server/http/wire/studies.ts";
import { studies } from "../../calls/studies.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { isAtWork, standingWords } from "../../model/study/studyWords.ts";
import { timeShown } from "../../model/times.ts";
import { List } from "../../views/List.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import "./studies.css";

/** All studies, newest first, and one button for the next. */
export function StudiesPage(): JSX.Element {
  const loaded = useLoaded("studies", studies);
  useLiveReload(["study", "snapshot"], loaded.reload);
  return (
    <Page
      title="Studies"
      lead={
        <>
          Many <a href="/recordings">recordings</a> with one set of settings: where each of them stopped, and figures
          that can be cited.
        </>
      }
    >
      <p class="form-foot">
        <a class="button main" href="/studies/new">
          New study
        </a>
      </p>
      <Waiting loaded={loaded} what="the studies">
        {(all) => (
          <List
            label="Studies"
            class="rows"
            items={all}
            keyOf={({ id }) => id}
            empty={{
              says: "No study yet. A study decodes all the recordings that you choose with the same settings, and keeps both.",
              action: { label: "Make the first study", href: "/studies/new" },
            }}
          >
            {(one) => <StudyEntry study={one} />}
          </List>
        )}
      </Waiting>
    </Page>
  );
}

function StudyEntry({ study }: { readonly study: StudyHeadBody }): JSX.Element {
  const { id, title, trial, createdAt, state, share, counts } = study;
  return (
    <a class="row row-study" href={`/studies/${id}`}>
      <span class="row-id fixed-width">{id}</span>
      <span class="row-title">
        {title}
        <span class="row-sub">{trial ? "a try of five" : `begun ${timeShown(createdAt)}`}</span>
      </span>
      <span class="row-text">
        {state === "failed" || (state === "done" && counts.failed > 0) ? (
          <Mark strength="look here" words={standingWords(study)} />
        ) : (
          standingWords(study)
        )}
        {isAtWork(study) && <progress max={1} value={share} aria-label={`How far ${title} is`} />}
      </span>
    </a>
  );
}
