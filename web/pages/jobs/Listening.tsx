import type { JSX } from "preact";
import { useCallback, useState } from "preact/hooks";
import type { JobBody, ReceiverBody, RunBody } from "../../../server/http/wire.ts";
import type { Answer, Problem } from "../../api.ts";
import { endRun, runsOf, startRun } from "../../calls/jobs.ts";
import { useLive } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { mainAction, runWords } from "../../model/jobWords.ts";
import { ActionButton } from "../../views/Empty.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface ListeningProps {
  readonly job: JobBody;
  /** Those that the visit listens to. */
  readonly receivers: readonly ReceiverBody[];
  readonly onChanged: () => void;
}

/** The one main action of a card, and below it when the visit listened. */
export function Listening({ job, receivers, onChanged }: ListeningProps): JSX.Element {
  const loaded = useLoaded(`runs ${job.id}`, () => runsOf(job.id));
  const { reload } = loaded;
  useLive(
    "job",
    useCallback(
      ({ id }) => {
        if (id === job.id) reload();
      },
      [job.id, reload],
    ),
  );
  const [problem, setProblem] = useState<Problem>();
  const runs = loaded.state === "there" ? loaded.value : [];
  const open = runs.find(({ endedAt }) => endedAt === null);
  const action = mainAction(job, receivers, runs);
  const again = action.kind === "go" && receivers.some(({ state }) => state === "listening");

  const run = async (ask: () => Promise<Answer<RunBody>>) => {
    const answer = await ask();
    setProblem(answer.ok ? undefined : answer.problem);
    reload();
    onChanged();
  };
  const start = () => void run(() => startRun(job));
  const stop = () => {
    if (open) void run(() => endRun(job, open.id));
  };
  const main = { label: action.label, onClick: action.kind === "stop" ? stop : start };

  return (
    <section aria-label="What to do next">
      {problem && <ProblemNote problem={problem} />}
      <p class="main-action">
        <ActionButton main action={action.kind === "go" ? action : main} />
        {again && <ActionButton action={{ label: "Listen again", onClick: start }} />}
      </p>
      <p class="caption" role="status">
        {loaded.state === "failed" ? loaded.problem.detail : runWords(runs, receivers.length)}
      </p>
    </section>
  );
}
