import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { JobBody, JobHistoryBody } from "../../../server/http/wire.ts";
import { changesOf } from "../../calls/jobs.ts";
import { useLoaded } from "../../loaded.ts";
import { timeShown } from "../../model/times.ts";
import { Waiting } from "../../views/Waiting.tsx";
import type { Card } from "./card.ts";

/** All that was done to the card, by name; each can be taken back, also after the page was left. */
export function Changes({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  return (
    <details class="changes" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>What was done to this card</summary>
      {isOpen && <ChangeList job={job} card={card} />}
    </details>
  );
}

function ChangeList({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
  const loaded = useLoaded(`changes ${job.id}`, () => changesOf(job.id));
  const { reload } = loaded;
  useEffect(reload, [job.revision, reload]);
  return (
    <Waiting loaded={loaded} what="the changes">
      {(changes) => (
        <ol class="list" aria-label="Changes, newest first">
          {changes.length === 0 && <li>Nothing was changed since the card was made.</li>}
          {changes.map(({ revision, at, says, before }, i) => (
            <li key={revision} class="change">
              <span>
                {says} <span class="caption">{timeShown(at)}</span>
              </span>
              {Object.keys(before).length > 0 && (
                <button
                  type="button"
                  class="button small"
                  disabled={card.saving}
                  onClick={() => void card.save(before, `Taken back: ${says.replace(/^(Taken back: )+/, "")}`)}
                >
                  {changedSince(before, changes.slice(0, i)) ? "Take back, and what came after" : "Take back"}
                  <span class="heard-only">
                    : {says}, revision {revision}
                  </span>
                </button>
              )}
            </li>
          ))}
        </ol>
      )}
    </Waiting>
  );
}

/** Whether a later change touched the same entries, which would go back with it. */
function changedSince(before: JobHistoryBody["before"], later: readonly JobHistoryBody[]): boolean {
  return later.some((one) => Object.keys(before).some((key) => key in one.before));
}
