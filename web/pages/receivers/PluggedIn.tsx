import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { SerialPortBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { addReceiver, freePorts } from "../../calls/receivers.ts";
import { useLoaded } from "../../loaded.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";

/** How often it is looked for what was plugged in, while the page is shown. */
const EVERY_MS = 3000;
const BAUD_RATE = 115_200;
const MOST_NAME = 80;

/** Serial ports that are there and that nobody listens to: one tap each, as soon as they are plugged in. */
export function PluggedIn({ onAdded }: { readonly onAdded: () => void }): JSX.Element | null {
  const loaded = useLoaded("free ports", freePorts);
  const { reload } = loaded;
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    const timer = setInterval(() => !document.hidden && reload(), EVERY_MS);
    return () => clearInterval(timer);
  }, [reload]);
  const free = loaded.state === "there" ? loaded.value : [];
  if (free.length === 0) return null;
  const listen = async ({ path, name }: SerialPortBody) => {
    setBusy(true);
    const answer = await addReceiver({ kind: "serial", name: name.slice(0, MOST_NAME), path, baudRate: BAUD_RATE });
    setBusy(false);
    setProblem(answer.ok ? undefined : answer.problem);
    reload();
    if (answer.ok) onAdded();
  };
  return (
    <section class="plugged-in" aria-label="Plugged in">
      <p role="status">Plugged in, and nobody listens to it yet:</p>
      <ul>
        {free.map((port) => (
          <li key={port.path}>
            {port.name}{" "}
            <button type="button" class="button" disabled={busy} onClick={() => void listen(port)}>
              Listen to it<span class="heard-only">, {port.name}</span>
            </button>
          </li>
        ))}
      </ul>
      {problem && <ProblemNote problem={problem} />}
    </section>
  );
}
