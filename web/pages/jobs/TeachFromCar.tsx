import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { addWorksheet, worksheets } from "../../calls/worksheets.ts";
import { useLoaded } from "../../loaded.ts";
import { counted } from "../../model/quantities.ts";
import { go } from "../../router.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";

/** The way from bursts of this visit that nothing reads to a layout that does. */
export function TeachFromCar({ job }: { readonly job: JobBody }): JSX.Element {
  const loaded = useLoaded("worksheets", worksheets);
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const begun = loaded.state === "there" ? loaded.value.filter(({ jobId }) => jobId === job.id) : [];
  const begin = async () => {
    setBusy(true);
    const answer = await addWorksheet({ job: job.id });
    setBusy(false);
    if (answer.ok) go({ page: "worksheet", id: answer.value.id });
    else setProblem(answer.problem);
  };
  return (
    <section class="teach" aria-label="Teach it from this car">
      <p>
        {counted(job.unreadableBursts, "burst")} of this visit that no layout reads. With some dozens of them and a hand
        gauge at a few pressures their layout can be worked out.
      </p>
      {problem && <ProblemNote problem={problem} />}
      <p class="form-foot">
        <button type="button" class="button" disabled={busy} onClick={begin}>
          Teach it from this car
        </button>
        {begun.map(({ id }) => (
          <a key={id} href={`/workshop/${id}`}>
            Go on with worksheet {id}
          </a>
        ))}
      </p>
    </section>
  );
}
