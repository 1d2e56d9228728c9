import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import type { Records } from "../../calls/recordings.ts";
import { addWorksheet, bringBursts } from "../../calls/worksheets.ts";
import { counted } from "../../model/quantities.ts";
import { go } from "../../router.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface WorkOutLayoutProps {
  readonly recording: RecordingBody;
  readonly bursts: Records["bursts"];
}

/** Fewer cannot belong together. */
const LEAST_BURSTS = 3;

/** From bursts that no layout reads to the workshop. */
export function WorkOutLayout({ recording, bursts }: WorkOutLayoutProps): JSX.Element | null {
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const unread = bursts.filter(
    ({ outcome, symbols }) => outcome !== "telegram" && outcome !== "repeat" && symbols !== null,
  );
  if (unread.length < LEAST_BURSTS) return null;
  const begin = async () => {
    setBusy(true);
    const made = await addWorksheet({ title: recording.name });
    const brought = made.ok
      ? await bringBursts(made.value.id, made.value.revision, { recordings: [recording.hash] })
      : made;
    setBusy(false);
    if (brought.ok) go({ page: "worksheet", id: brought.value.id });
    else setProblem(brought.problem);
  };
  return (
    <>
      <p>
        {counted(unread.length, "burst")} that no layout reads.{" "}
        <button type="button" class="button small" disabled={busy} onClick={begin}>
          Work out their layout
        </button>
      </p>
      {problem && <ProblemNote problem={problem} />}
    </>
  );
}
