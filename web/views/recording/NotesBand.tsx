import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { NoteBody, RecordingBody } from "../../../server/http/wire.ts";
import type { Answer, Problem } from "../../api.ts";
import { addNote, changeNote, removeNote, restoreNote } from "../../calls/notes.ts";
import type { Frame } from "../../model/recording/frames.ts";
import {
  makerWords,
  neighbourNote,
  noteName,
  noteRange,
  notesHeading,
  noteTimeWords,
  otherKeysWords,
} from "../../model/recording/notes.ts";
import { boundsOf, type TimeRange } from "../../model/recording/range.ts";
import { List } from "../List.tsx";
import { ProblemNote } from "../ProblemNote.tsx";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { NoteForm, type NoteWritten } from "./NoteForm.tsx";

interface NotesBandProps {
  readonly recording: RecordingBody;
  /** In order of time. */
  readonly notes: readonly NoteBody[];
  readonly range: TimeRange;
  readonly chosen?: Frame | undefined;
  readonly onShow: (range: TimeRange) => void;
  /** Something was written; the notes are to be asked for anew. */
  readonly onChanged: () => void;
}

type Writing = { readonly kind: "new" } | { readonly kind: "change"; readonly note: NoteBody };

/** What people wrote on a recording, to read, to go to, to write and to take away. One tab stop, arrows inside. */
export function NotesBand({ recording, notes, range, chosen, onShow, onChanged }: NotesBandProps): JSX.Element {
  const { hash, seconds, sampleRateHz } = recording;
  const [currentId, setCurrent] = useState<string>();
  const [writing, setWriting] = useState<Writing>();
  const [removed, setRemoved] = useState<NoteBody>();
  const [says, setSays] = useState("");
  const [problem, setProblem] = useState<Problem>();
  const box = useRef<HTMLDivElement>(null);
  const currentAt = notes.findIndex(({ id }) => id === currentId);
  const current = notes[currentAt];
  const activeAt = Math.max(0, currentAt);
  const undo = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (removed) undo.current?.focus();
  }, [removed]);

  // Who closed the form goes on at the note that was written, or where notes are.
  const returning = useRef(false);
  useEffect(() => {
    if (writing || !returning.current) return;
    const there =
      currentId !== undefined && box.current?.querySelector<HTMLElement>(`[data-note="${CSS.escape(currentId)}"]`);
    const target = there || box.current?.querySelector<HTMLElement>('.note[tabindex="0"], .empty button');
    target?.focus();
    if (there || currentId === undefined) returning.current = false;
  }, [writing, notes, currentId]);

  const show = (note: NoteBody | undefined) => {
    if (!note) return;
    setCurrent(note.id);
    onShow(noteRange(note, seconds, boundsOf(seconds, sampleRateHz).leastSeconds));
    setSays(`Shown: ${noteName(note)}, ${noteTimeWords(note)}`);
  };
  const key = (event: KeyboardEvent) => {
    const to = { ArrowUp: activeAt - 1, ArrowDown: activeAt + 1, Home: 0, End: notes.length - 1 }[event.key];
    const next = to === undefined ? undefined : notes[Math.min(notes.length - 1, Math.max(0, to))];
    if (next === undefined) return;
    event.preventDefault();
    setCurrent(next.id);
    box.current?.querySelector<HTMLButtonElement>(`button[data-note="${CSS.escape(next.id)}"]`)?.focus();
  };
  /** What went wrong, or what is said of what went well. */
  const told = <T,>(answer: Answer<T>, words: string): Problem | undefined => {
    setSays(answer.ok ? words : "");
    if (answer.ok) onChanged();
    return answer.ok ? undefined : answer.problem;
  };
  const save = async ({ label, comment, place }: NoteWritten): Promise<Problem | undefined> => {
    const where = place && { fromSeconds: place.fromSeconds, toSeconds: place.toSeconds };
    setRemoved(undefined);
    const answer =
      writing?.kind === "change"
        ? await changeNote(hash, writing.note.id, { label, comment, ...where })
        : await addNote(hash, { label, comment, ...(where ?? range), lowHz: null, highHz: null });
    const failed = told(answer, "The note is kept.");
    if (failed || !answer.ok) return failed;
    setCurrent(answer.value.id);
    returning.current = true;
    setWriting(undefined);
    return undefined;
  };
  const remove = async (note: NoteBody) => {
    const failed = told(await removeNote(hash, note.id), `Removed: ${noteName(note)}`);
    setProblem(failed);
    if (!failed) setRemoved(note);
  };
  const takeBack = async (note: NoteBody) => {
    const failed = told(await restoreNote(hash, note.id), `It is back: ${noteName(note)}`);
    setProblem(failed);
    if (failed) return;
    setRemoved(undefined);
    setCurrent(note.id);
  };
  const write = () => setWriting({ kind: "new" });

  return (
    <Band
      name="the notes"
      heading={notesHeading(notes, range)}
      howToRead={
        <p>
          What people wrote on this recording, in order of time. Press one to see the place it is about. Notes go with
          the file when you take it away, and come with files that have some. With the keyboard: up and down, Home and
          End, Enter.
        </p>
      }
      table={() => <NoteTable notes={notes} onShow={show} onWrite={write} />}
    >
      <div class="notes" ref={box}>
        {(notes.length > 0 || !writing) && (
          <List
            label="Notes in order of time"
            class="note-list"
            items={notes}
            keyOf={({ id }) => id}
            empty={{
              says: "Write down what you see, and others will find it here.",
              action: { label: "Write a note", onClick: write },
            }}
          >
            {(note) => (
              <button
                type="button"
                class="event note"
                data-note={note.id}
                tabIndex={note.id === (notes[activeAt]?.id ?? "") ? 0 : -1}
                aria-current={note.id === currentId ? "true" : undefined}
                onKeyDown={key}
                onClick={() => show(note)}
              >
                <NoteWords note={note} />
              </button>
            )}
          </List>
        )}
        {notes.length > 0 && (
          <div class="frame-steps">
            <button
              type="button"
              class="button small"
              disabled={!neighbourNote(notes, currentId, -1, range.fromSeconds)}
              onClick={() => show(neighbourNote(notes, currentId, -1, range.fromSeconds))}
            >
              Previous note
            </button>
            {current && <span class="caption">{`${currentAt + 1} of ${notes.length}`}</span>}
            <button
              type="button"
              class="button small"
              disabled={!neighbourNote(notes, currentId, 1, range.fromSeconds)}
              onClick={() => show(neighbourNote(notes, currentId, 1, range.fromSeconds))}
            >
              Next note
            </button>
            {current && !writing && (
              <>
                <button
                  type="button"
                  class="button small"
                  onClick={() => setWriting({ kind: "change", note: current })}
                >
                  Change it
                </button>
                <button type="button" class="button small" onClick={() => void remove(current)}>
                  Remove it
                </button>
              </>
            )}
            {!writing && (
              <button type="button" class="button small" onClick={write}>
                Write a note
              </button>
            )}
          </div>
        )}
        <p class="note-says" role="status">
          {says}
        </p>
        {removed && (
          <button ref={undo} type="button" class="button small" onClick={() => void takeBack(removed)}>
            Take it back
          </button>
        )}
        {problem && <ProblemNote problem={problem} />}
        {writing && (
          <NoteForm
            key={writing.kind === "change" ? writing.note.id : "new"}
            note={writing.kind === "change" ? writing.note : undefined}
            range={range}
            chosen={chosen}
            onSave={save}
            onCancel={() => {
              returning.current = true;
              setWriting(undefined);
            }}
          />
        )}
      </div>
    </Band>
  );
}

function NoteWords({ note }: { readonly note: NoteBody }): JSX.Element {
  const beside = [makerWords(note), otherKeysWords(note)].filter((words) => words !== undefined).join("; ");
  return (
    <>
      <span class="event-at">{noteTimeWords(note)}</span>
      <span>
        {note.label !== "" && <strong>{note.label}</strong>}
        {note.comment !== "" && <span class="note-comment">{note.comment}</span>}
        {note.label === "" && note.comment === "" && <span class="none">Nothing is written in it</span>}
        {beside !== "" && <span class="caption">{beside}</span>}
      </span>
    </>
  );
}

function NoteTable({
  notes,
  onShow,
  onWrite,
}: {
  readonly notes: readonly NoteBody[];
  readonly onShow: (note: NoteBody) => void;
  readonly onWrite: () => void;
}): JSX.Element {
  return (
    <Table
      caption="Notes in order of time"
      rows={notes}
      keyOf={({ id }) => id}
      empty={{ says: "There is no note yet.", action: { label: "Write the first one", onClick: onWrite } }}
      columns={[
        {
          name: "From, s",
          figures: true,
          cell: (note) => (
            <button type="button" class="plain-button" onClick={() => onShow(note)}>
              {note.fromSeconds.toFixed(6)}
            </button>
          ),
        },
        { name: "To, s", figures: true, cell: ({ toSeconds }) => toSeconds.toFixed(6) },
        { name: "First sample", figures: true, cell: ({ fromSample }) => fromSample },
        { name: "Samples", figures: true, cell: ({ sampleCount }) => sampleCount },
        {
          name: "Band, MHz",
          figures: true,
          cell: ({ lowHz, highHz }) =>
            lowHz === null || highHz === null ? "none" : `${(lowHz / 1e6).toFixed(3)} to ${(highHz / 1e6).toFixed(3)}`,
        },
        { name: "Label", cell: ({ label }) => label || "none" },
        { name: "Comment", cell: ({ comment }) => comment || "none" },
        { name: "By", cell: ({ generator }) => generator ?? "not told" },
      ]}
    />
  );
}
