import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { addLayout, type LayoutEntry } from "../../calls/layouts.ts";
import { jsonFromText } from "../../model/jsonText.ts";
import { TextField } from "../../views/Fields.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface PutOnShelfProps {
  readonly onAdded: (entry: LayoutEntry) => void;
  readonly onClose: () => void;
}

/** A layout file chosen or pasted; what is wrong with it is told key by key. */
export function PutOnShelf({ onAdded, onClose }: PutOnShelfProps): JSX.Element {
  const [text, setText] = useState("");
  const [problem, setProblem] = useState<Problem>();
  const [added, setAdded] = useState<LayoutEntry>();
  const [busy, setBusy] = useState(false);

  const put = async () => {
    setAdded(undefined);
    const read = jsonFromText(text);
    if (!read.ok) {
      setProblem(read.problem);
      return;
    }
    setBusy(true);
    const answer = await addLayout(read.value);
    setBusy(false);
    setProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    setAdded(answer.value);
    setText("");
    onAdded(answer.value);
  };

  return (
    <form
      class="put-on-shelf"
      aria-label="Put a file on the shelf"
      onSubmit={(event) => {
        event.preventDefault();
        void put();
      }}
      onKeyDown={(event) => event.key === "Escape" && onClose()}
    >
      <label class="file">
        <span>A layout file (JSON)</span>
        <input
          type="file"
          accept=".json,application/json"
          onChange={(event) => {
            const file = event.currentTarget.files?.[0];
            if (file) void file.text().then(setText);
          }}
        />
      </label>
      <TextField label="Or its text" value={text} onInput={setText} lines={8} fixedWidth />
      {problem && <ProblemNote problem={problem} />}
      <p role="status">
        {added && (
          <>
            On the shelf:{" "}
            <a href={`/layouts/${added.id}@${added.version}`}>{`${added.id}, version ${added.version}`}</a>.
          </>
        )}
      </p>
      <p class="form-foot">
        <button type="submit" class="button main" disabled={busy || text.trim() === ""}>
          Put it on the shelf
        </button>
        <button type="button" class="button" onClick={onClose}>
          {added ? "Close" : "Leave it"}
        </button>
      </p>
    </form>
  );
}
