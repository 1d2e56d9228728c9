import type { JSX } from "preact";
import type { JobBody } from "../../../server/http/wire.ts";
import type { DraftKey } from "../../model/draft.ts";
import { TextField } from "../../views/Fields.tsx";
import type { JobAutosave } from "./jobAutosave.ts";

interface HandOverProps {
  readonly job: JobBody;
  readonly autosave: JobAutosave;
}

/** What the sheet says besides the wheels, in the technician's words. */
export function HandOver({ job, autosave }: HandOverProps): JSX.Element {
  const box = (key: DraftKey) => ({
    value: autosave.draft[key],
    wrong: autosave.wrong[key],
    onInput: (text: string) => autosave.type(key, text),
    onLeave: autosave.flush,
    lines: 2,
    maxLength: 2000,
  });
  const sheet = `/api/v1/jobs/${encodeURIComponent(job.id)}/sheet`;
  return (
    <section class="hand-over" aria-labelledby="hand-over">
      <h2 id="hand-over">Hand over</h2>
      <div class="edit-card-more">
        <TextField label="Finding" {...box("finding")} />
        <TextField label="Cause" {...box("cause")} />
        <TextField label="Done" {...box("done")} />
        <TextField label="Advised" {...box("advised")} />
        <TextField label="Not checked, besides what always stands there" {...box("notChecked")} />
      </div>
      <p class="form-foot">
        <a class="button" href={sheet}>
          Hand-over sheet, A4
        </a>
        <a class="button" href={`${sheet}?paper=letter`}>
          Hand-over sheet, Letter
        </a>
        <span class="caption">{autosave.says}</span>
      </p>
    </section>
  );
}
