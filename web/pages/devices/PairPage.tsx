import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { comeIn } from "../../calls/devices.ts";
import { TextField } from "../../views/Fields.tsx";
import { Page } from "../../views/Page.tsx";
import { PlainHttpNote } from "../../views/PlainHttpNote.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

/** Where a device comes in by a code. The code stands in the fragment of the address, which no server is ever sent. */
export function PairPage(): JSX.Element {
  const [code, setCode] = useState(() => location.hash.slice(1));
  const [name, setName] = useState("");
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    // Another code opened in this very tab changes no more than what stands behind the #.
    const take = () => {
      const next = location.hash.slice(1);
      if (next === "") return;
      setCode(next);
      setProblem(undefined);
      hide();
    };
    hide();
    addEventListener("hashchange", take);
    return () => removeEventListener("hashchange", take);
  }, []);
  const enter = async () => {
    setBusy(true);
    const answer = await comeIn(code, name.trim());
    setBusy(false);
    if (answer.ok) location.assign("/jobs");
    else setProblem(answer.problem);
  };
  if (code === "") {
    return (
      <Page title="Come in" lead="This device needs a code to come in.">
        <p>
          At the computer that runs Wheelgram, open Settings, then Devices, and let a device in. Point this device's
          camera at the square that is shown there.
        </p>
      </Page>
    );
  }
  return (
    <Page title="Come in" lead="Give this device a name, so that it can be told from others and let go by itself.">
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void enter();
        }}
      >
        <TextField label="Name, such as tablet in bay 2" value={name} onInput={setName} maxLength={80} />
        {problem && <ProblemNote problem={problem} />}
        <p class="form-foot">
          <button type="submit" class="button main" disabled={busy || name.trim() === ""}>
            Come in
          </button>
        </p>
      </form>
      <PlainHttpNote />
    </Page>
  );
}

/** Takes the code out of the address, so that it is not kept in the history or shown to whoever looks on. */
function hide(): void {
  history.replaceState(null, "", location.pathname);
}
