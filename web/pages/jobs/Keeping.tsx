import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { removeJob, wipeNames } from "../../calls/jobs.ts";
import { keepTyping } from "../../device.ts";
import { go } from "../../router.ts";
import { Ask } from "../../views/Ask.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Share } from "./Share.tsx";

interface KeepingProps {
  readonly job: JobBody;
  /** Nothing that was typed before may come back. */
  readonly onWiped: () => void;
}

/** What becomes of the card: taken along as a file, its names wiped, or removed for a while. */
export function Keeping({ job, onWiped }: KeepingProps): JSX.Element {
  const [asking, setAsking] = useState<"wipe" | "remove">();
  const [problem, setProblem] = useState<Problem>();
  const file = `/api/v1/jobs/${encodeURIComponent(job.id)}/export`;

  const remove = async () => {
    const answer = await removeJob(job.id, job.revision);
    if (answer.ok) {
      keepTyping(job.id, null);
      go({ page: "jobs" }, { replace: true });
    } else setProblem(answer.problem);
  };
  const wipe = async () => {
    const answer = await wipeNames(job.id, job.revision);
    setAsking(undefined);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) onWiped();
  };

  return (
    <section aria-labelledby="keeping">
      <h2 id="keeping">Keep, wipe, remove</h2>
      {problem && <ProblemNote problem={problem} again={() => setProblem(undefined)} />}
      {asking === "remove" && (
        <Ask
          question={`Remove job ${job.id}? What was heard stays; for 30 days the card can be had back from the list of jobs.`}
          yes="Remove it"
          no="Keep it"
          onYes={() => void remove()}
          onNo={() => setAsking(undefined)}
        />
      )}
      {asking === "wipe" && (
        <Ask
          question="Wipe plate, complaint and names off this card, and its list of changes? Readings stay, and so does what you typed elsewhere: read it over for names. This cannot be taken back."
          yes="Wipe them"
          no="Keep them"
          onYes={() => void wipe()}
          onNo={() => setAsking(undefined)}
        />
      )}
      {asking === undefined && (
        <p class="form-foot">
          <a class="button" href={`${file}?as=json`} download>
            Save as JSON
          </a>
          <a class="button" href={`${file}?as=csv`} download>
            Save wheels as CSV
          </a>
          <button type="button" class="button" onClick={() => setAsking("wipe")}>
            Wipe names
          </button>
          <button type="button" class="button" onClick={() => setAsking("remove")}>
            Remove this job
          </button>
        </p>
      )}
      <Share id={job.id} />
    </section>
  );
}
