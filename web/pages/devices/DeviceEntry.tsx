import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { DeviceBody } from "../../../server/http/wire/devices.ts";
import type { Answer, Problem } from "../../api.ts";
import { letGo, renameDevice } from "../../calls/devices.ts";
import { timeShown } from "../../model/times.ts";
import { Ask } from "../../views/Ask.tsx";
import { TextField } from "../../views/Fields.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface DeviceEntryProps {
  readonly device: DeviceBody;
  readonly onChanged: () => void;
}

/** One device that may come in, and the ways to name it and to let it go. */
export function DeviceEntry({ device, onChanged }: DeviceEntryProps): JSX.Element {
  const { id, name, addedAt, seenAt, expiresAt } = device;
  const [open, setOpen] = useState<"rename" | "let go">();
  const [typed, setTyped] = useState(name);
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const run = async (ask: () => Promise<Answer<unknown>>) => {
    setBusy(true);
    const answer = await ask();
    setBusy(false);
    setProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    setOpen(undefined);
    onChanged();
  };
  return (
    <article aria-label={name}>
      <h2>{name}</h2>
      <p class="caption">
        Let in {timeShown(addedAt)}; {seenAt === null ? "not seen since" : `seen ${timeShown(seenAt)}`}; its key runs
        out {timeShown(expiresAt)}.
      </p>
      {problem && <ProblemNote problem={problem} />}
      {open === undefined && (
        <p class="form-foot">
          <button type="button" class="button" onClick={() => setOpen("rename")}>
            Rename<span class="heard-only"> {name}</span>
          </button>
          <button type="button" class="button" onClick={() => setOpen("let go")}>
            Let go<span class="heard-only"> {name}</span>
          </button>
        </p>
      )}
      {open === "rename" && (
        <form
          class="inline-form"
          onSubmit={(event) => {
            event.preventDefault();
            void run(() => renameDevice(id, typed.trim()));
          }}
        >
          <TextField label="Name" value={typed} onInput={setTyped} maxLength={80} />
          <button type="submit" class="button main" disabled={busy || typed.trim() === ""}>
            Rename
          </button>
          <button type="button" class="button" onClick={() => setOpen(undefined)}>
            Leave as it was
          </button>
        </form>
      )}
      {open === "let go" && (
        <Ask
          question={`Let ${name} go? It is out at once, also in the middle of a job; what it sent stays.`}
          yes="Let it go"
          no="Keep it"
          busy={busy}
          onYes={() => void run(() => letGo(id))}
          onNo={() => setOpen(undefined)}
        />
      )}
    </article>
  );
}
