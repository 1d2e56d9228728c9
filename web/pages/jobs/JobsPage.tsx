import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { addJob, jobs, removedJobs, restoreJob } from "../../calls/jobs.ts";
import { receivers } from "../../calls/receivers.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { emptyCard } from "../../model/jobChange.ts";
import { strongest, visitWords } from "../../model/jobWords.ts";
import { timeShown } from "../../model/times.ts";
import { go } from "../../router.ts";
import { List } from "../../views/List.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";

/** All visits, newest first, and one button for the next. */
export function JobsPage(): JSX.Element {
  const loaded = useLoaded("jobs", jobs);
  useLiveReload(["job", "telegram", "recording", "snapshot"], loaded.reload);
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);

  const open = async () => {
    setBusy(true);
    // A new visit listens to whatever is there, so that nobody has to choose before anything was heard.
    const here = await receivers();
    const answer = await addJob(emptyCard(here.ok ? here.value.map(({ id }) => id) : []));
    setBusy(false);
    if (answer.ok) go({ page: "job", id: answer.value.id });
    else setProblem(answer.problem);
  };

  return (
    <Page title="Jobs" lead="One card for each visit of a car.">
      {problem && <ProblemNote problem={problem} again={() => void open()} />}
      <p class="form-foot">
        <button type="button" class="button main" disabled={busy} onClick={() => void open()}>
          New job
        </button>
        <a class="button" href="/sending">
          No job: is it sending?
        </a>
      </p>
      <Waiting loaded={loaded} what="the jobs">
        {(all) => (
          <List
            label="Jobs"
            class="rows"
            items={all.toSorted((a, b) => (a.createdAt < b.createdAt ? 1 : -1))}
            keyOf={({ id }) => id}
            empty={{
              says: "No job yet. A job is one visit of a car: its plate, its placard and what its sensors said.",
              action: { label: "Make the first job", onClick: () => void open() },
            }}
          >
            {(job) => <JobEntry job={job} />}
          </List>
        )}
      </Waiting>
      <Bin onRestored={loaded.reload} />
    </Page>
  );
}

/** Jobs that were removed, for as long as they can be had back. */
function Bin({ onRestored }: { readonly onRestored: () => void }): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Removed jobs</summary>
      {isOpen && <BinList onRestored={onRestored} />}
    </details>
  );
}

function BinList({ onRestored }: { readonly onRestored: () => void }): JSX.Element {
  const loaded = useLoaded("removed jobs", removedJobs);
  useLiveReload(["job"], loaded.reload);
  const [problem, setProblem] = useState<Problem>();
  const restore = async (id: string) => {
    const answer = await restoreJob(id);
    setProblem(answer.ok ? undefined : answer.problem);
    loaded.reload();
    onRestored();
  };
  return (
    <Waiting loaded={loaded} what="the removed jobs">
      {(removed) => (
        <>
          {problem && <ProblemNote problem={problem} />}
          <ul class="list" aria-label="Removed jobs">
            {removed.length === 0 && <li>No job was removed in the last 30 days.</li>}
            {removed.map(({ id, plate, vehicle, goesAt }) => (
              <li key={id} class="change">
                <span>
                  <span class="fixed-width">{id}</span> {[plate, vehicle].filter((words) => words !== "").join(", ")}{" "}
                  <span class="caption">goes for good {timeShown(goesAt)}</span>
                </span>
                <button type="button" class="button small" onClick={() => void restore(id)}>
                  Take it back<span class="heard-only">: job {id}</span>
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
    </Waiting>
  );
}

function JobEntry({ job }: { readonly job: JobBody }): JSX.Element {
  return (
    <a class="row" href={`/jobs/${job.id}`}>
      <span class="row-id fixed-width">{job.id}</span>
      <span class="row-title">
        {job.plate === "" ? "no plate yet" : job.plate}
        {job.vehicle !== "" && <span class="row-sub">{job.vehicle}</span>}
      </span>
      <span class="row-text">
        <Mark strength={strongest(job.lines)} words={visitWords(job)} />
      </span>
      <span class="row-when">{job.sample ? "sample" : timeShown(job.createdAt)}</span>
    </a>
  );
}
