import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ReceiverBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { network } from "../../calls/devices.ts";
import { dropReceiverKey, makeReceiverKey } from "../../calls/receivers.ts";
import { useLoaded } from "../../loaded.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface ReceiverKeyProps {
  readonly receiver: ReceiverBody;
  readonly onChanged: () => void;
}

/** Whether a TCP receiver may come in from the network; nothing while the server is not open, or for who is not there. */
export function ReceiverKey({ receiver, onChanged }: ReceiverKeyProps): JSX.Element | null {
  const loaded = useLoaded("network", network);
  const [key, setKey] = useState<string>();
  const [problem, setProblem] = useState<Problem>();
  const isHere = loaded.state === "there" && loaded.value.open && loaded.value.here;
  if (!isHere || receiver.kind !== "tcp") return null;
  const make = async () => {
    const answer = await makeReceiverKey(receiver.id);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) setKey(answer.value.key);
    onChanged();
  };
  const drop = async () => {
    const answer = await dropReceiverKey(receiver.id);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) setKey(undefined);
    onChanged();
  };
  return (
    <section class="receiver-key" aria-label={`Network of ${receiver.name}`}>
      <p>
        {receiver.hasKey
          ? "It may come in from the network, with its key in the first line."
          : "It may come in from this computer only."}
      </p>
      {key !== undefined && (
        <p role="status">
          Its key, shown this once, for the first line, as <code>"key"</code>: <code class="address">{key}</code>
        </p>
      )}
      {problem && <ProblemNote problem={problem} />}
      <p class="form-foot">
        <button type="button" class="button" onClick={() => void make()}>
          {receiver.hasKey ? "Make another key" : "Make a key for the network"}
          <span class="heard-only">, {receiver.name}</span>
        </button>
        {receiver.hasKey && (
          <button type="button" class="button" onClick={() => void drop()}>
            From this computer only<span class="heard-only">, {receiver.name}</span>
          </button>
        )}
      </p>
    </section>
  );
}
