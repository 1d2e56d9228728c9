import type { JSX } from "preact";
import { useId, useState } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import { exportAddress } from "../../calls/notes.ts";
import { EXPORT_FORMS, EXPORT_WORDS } from "../../model/recording/exports.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { decimalMarkOf, frameTsv } from "../../model/recording/frameTsv.ts";
import { boundsOf, isWhole, rangeWords, type TimeRange, wholeRange } from "../../model/recording/range.ts";
import { CopyButton } from "../CopyButton.tsx";
import { Choice } from "../Fields.tsx";

interface ExportMenuProps {
  readonly recording: RecordingBody;
  readonly frames: readonly Frame[];
  readonly range: TimeRange;
  /** Those of the page, which go into the notes of the file. */
  readonly marks?: readonly { readonly name: string; readonly atSeconds: number }[];
}

/** Files of the recording, or of what is shown of it, and the table of frames for a spreadsheet. */
export function ExportMenu({ recording, frames, range, marks = [] }: ExportMenuProps): JSX.Element {
  const { hash, seconds, sampleRateHz } = recording;
  const bounds = boundsOf(seconds, sampleRateHz);
  const [part, setPart] = useState<"all" | "shown">("all");
  const id = useId();
  const whole = part === "all" || isWhole(range, bounds);
  const language = navigator.language;
  const asked = { range: whole ? undefined : range, language, marks };
  return (
    <section class="evidence-band export" aria-labelledby={id}>
      <h2 id={id}>Take it with you, as a file</h2>
      <Choice
        legend="How much of it"
        options={[
          ["all", "All of it"],
          ["shown", `What is shown: ${isWhole(range, bounds) ? "all of it" : rangeWords(range)}`],
        ]}
        value={part}
        onChange={setPart}
      />
      <ul class="list export-forms" aria-label="Files">
        {EXPORT_FORMS.map((form) => (
          <li key={form}>
            <a class="button" href={exportAddress(hash, form, asked)} download>
              {EXPORT_WORDS[form].name}
            </a>
            <span class="caption">
              {EXPORT_WORDS[form].says}
              {form !== "sigmf" && (
                <>
                  {" "}
                  <a href={exportAddress(hash, form, { ...asked, schema: true })} download>
                    What it holds<span class="heard-only">: {EXPORT_WORDS[form].name}</span>
                  </a>
                </>
              )}
            </span>
          </li>
        ))}
      </ul>
      <p class="copy-table">
        <CopyButton
          label="Copy the table of frames"
          text={() => frameTsv(frames, whole ? wholeRange(bounds) : range, decimalMarkOf(language))}
        />
      </p>
    </section>
  );
}
