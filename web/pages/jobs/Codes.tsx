import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import { puttingRight } from "../../calls/jobs.ts";
import { useLoaded } from "../../loaded.ts";
import { TextField } from "../../views/Fields.tsx";
import type { JobAutosave } from "./jobAutosave.ts";

interface CodesProps {
  readonly job: JobBody;
  readonly autosave: JobAutosave;
}

/** What the vehicle itself says, as it was typed; what a code means is in the maker's manual. */
export function Codes({ job, autosave }: CodesProps): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  const used = job.codesBefore !== "" || job.codesAfter !== "";
  const box = (key: "codesBefore" | "codesAfter") => ({
    value: autosave.draft[key],
    onInput: (text: string) => autosave.type(key, text),
    onLeave: autosave.flush,
    lines: 2,
    fixedWidth: true,
    maxLength: 2000,
  });
  return (
    <details class="codes" open={used} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Trouble codes of the vehicle</summary>
      <div class="edit-card-more">
        <TextField label="Before clearing" {...box("codesBefore")} />
        <TextField label="After clearing and a second look" {...box("codesAfter")} />
      </div>
      {(isOpen || used) && <Compared job={job} />}
      <p class="caption">Kept as typed. What a code means is in the maker's manual.</p>
    </details>
  );
}

/** Which codes stayed, came or went. */
function Compared({ job }: { readonly job: JobBody }): JSX.Element | null {
  const loaded = useLoaded(`codes ${job.id}`, () => puttingRight(job.id));
  const { reload } = loaded;
  useEffect(reload, [job.revision, reload]);
  return loaded.state === "there" && loaded.value.codes !== "" ? <p>{loaded.value.codes}</p> : null;
}
