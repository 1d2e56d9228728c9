import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ReceiverBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { addReceiver } from "../../calls/receivers.ts";
import { EMPTY_RECEIVER, type ReceiverDraft, receiverTyped } from "../../model/receiverDraft.ts";
import { Choice, TextField } from "../../views/Fields.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { SerialBoxes } from "../../views/SerialBoxes.tsx";

interface AddReceiverProps {
  readonly onAdded: (receiver: ReceiverBody) => void;
  readonly onClose: () => void;
}

/** Four ways in, and only the boxes that the chosen one needs. */
export function AddReceiver({ onAdded, onClose }: AddReceiverProps): JSX.Element {
  const [draft, setDraft] = useState<ReceiverDraft>(EMPTY_RECEIVER);
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const [tried, setTried] = useState(false);
  const typed = receiverTyped(draft);
  const box = (key: "name" | "path" | "baudRate" | "port" | "file" | "speed") => ({
    value: draft[key],
    // What is still empty is not wrong before somebody tries to send it.
    wrong: typed.ok || !(tried || draft[key] !== "") ? undefined : typed.wrong[key],
    onInput: (text: string) => setDraft((before) => ({ ...before, [key]: text })),
  });
  const add = async () => {
    setTried(true);
    if (!typed.ok) return;
    setBusy(true);
    const answer = await addReceiver(typed.receiver);
    setBusy(false);
    if (answer.ok) onAdded(answer.value);
    else setProblem(answer.problem);
  };
  return (
    <form
      class="add-receiver"
      aria-label="Add a receiver"
      onSubmit={(event) => {
        event.preventDefault();
        void add();
      }}
      onKeyDown={(event) => event.key === "Escape" && onClose()}
    >
      <Choice
        legend="How does it reach us?"
        value={draft.kind}
        onChange={(kind) => setDraft((before) => ({ ...before, kind }))}
        options={[
          ["serial", "On a serial port"],
          ["tcp", "Lines over the network"],
          ["samples", "Live samples over the network"],
          ["replay", "Replay of a file"],
        ]}
      />
      <TextField label="Name, such as bench by the door" maxLength={80} {...box("name")} />
      {draft.kind === "serial" && <SerialBoxes box={box} device="receiver" />}
      {(draft.kind === "tcp" || draft.kind === "samples") && (
        <>
          <TextField label="TCP port; 0 takes any that is free" numeric {...box("port")} />
          <p class="caption">
            We listen on this computer; the receiver's program connects to it. The port that was taken is told after.
          </p>
        </>
      )}
      {draft.kind === "replay" && (
        <>
          <TextField label="File of lines on the computer that runs Wheelgram" fixedWidth {...box("file")} />
          <TextField label="Speed, 1 as it was recorded" numeric {...box("speed")} />
        </>
      )}
      {problem && <ProblemNote problem={problem} />}
      <p class="form-foot">
        <button type="submit" class="button main" disabled={busy}>
          Add it
        </button>
        <button type="button" class="button" onClick={onClose}>
          Leave it
        </button>
      </p>
    </form>
  );
}
