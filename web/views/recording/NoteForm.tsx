import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { NoteBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { LABEL_CHARACTERS, noteTimeWords } from "../../model/recording/notes.ts";
import { rangeWords, type TimeRange } from "../../model/recording/range.ts";
import { Choice, TextField } from "../Fields.tsx";
import { ProblemNote } from "../ProblemNote.tsx";

export interface NoteWritten {
  readonly label: string;
  readonly comment: string;
  /** `undefined`: it stays where it is. */
  readonly place: TimeRange | undefined;
}

interface NoteFormProps {
  /** The one that is changed; `undefined` for a new one. */
  readonly note: NoteBody | undefined;
  readonly range: TimeRange;
  readonly chosen: Frame | undefined;
  /** Gives back what went wrong, if anything did. */
  readonly onSave: (written: NoteWritten) => Promise<Problem | undefined>;
  readonly onCancel: () => void;
}

/** A note being written or changed: where it lies, a short label, a comment. */
export function NoteForm({ note, range, chosen, onSave, onCancel }: NoteFormProps): JSX.Element {
  const [label, setLabel] = useState(note?.label ?? "");
  const [comment, setComment] = useState(note?.comment ?? "");
  const [where, setWhere] = useState<"stays" | "shown" | "frame">(note ? "stays" : "shown");
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => form.current?.querySelector("input")?.focus(), []);
  const tooLong = [...label].length > LABEL_CHARACTERS && label !== note?.label;
  const isEmpty = label.trim() === "" && comment.trim() === "";
  const places = [
    ...(note ? ([["stays", `Where it is: ${noteTimeWords(note)}`]] as const) : []),
    ["shown", `What is shown: ${rangeWords(range)}`] as const,
    ...(chosen ? ([["frame", `The chosen frame: ${rangeWords(chosen)}`]] as const) : []),
  ];
  const place = where === "stays" ? undefined : where === "frame" ? (chosen ?? range) : range;
  const save = async () => {
    if (busy || tooLong || isEmpty) return;
    setBusy(true);
    const failed = await onSave({ label: label.trim(), comment: comment.trim(), place });
    setBusy(false);
    setProblem(failed);
  };
  return (
    <form
      ref={form}
      class="note-form"
      aria-label={note ? "Change the note" : "A new note"}
      onKeyDown={(event) => event.key === "Escape" && onCancel()}
      onSubmit={(event) => {
        event.preventDefault();
        void save();
      }}
    >
      <TextField
        label="Label"
        value={label}
        onInput={setLabel}
        wrong={tooLong ? `At most ${LABEL_CHARACTERS} characters; put the rest in the comment.` : undefined}
      />
      <TextField label="Comment" value={comment} onInput={setComment} lines={3} maxLength={4000} />
      <Choice legend="What it is about" options={places} value={where} onChange={setWhere} />
      <p class="form-foot">
        <button type="submit" class="button main" disabled={busy || tooLong || isEmpty}>
          Keep the note
        </button>
        <button type="button" class="button" disabled={busy} onClick={onCancel}>
          Leave it
        </button>
      </p>
      {problem && <ProblemNote problem={problem} />}
    </form>
  );
}
