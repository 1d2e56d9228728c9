import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { KeepingBody } from "../../server/http/wire/keeping.ts";
import type { Answer, Problem } from "../api.ts";
import { chooseKeeping, type KeepingChoice, keeping, keepingBy } from "../calls/keeping.ts";
import { useLoaded } from "../loaded.ts";
import { goesWords, keptWords } from "../model/keepingWords.ts";
import { numberTyped } from "../model/typed.ts";
import { TextField } from "../views/Fields.tsx";
import { ProblemNote } from "../views/ProblemNote.tsx";
import { Waiting } from "../views/Waiting.tsx";

/** How long what receivers said is kept; what goes by a choice is shown before it does. */
export function KeepingSection(): JSX.Element {
  const loaded = useLoaded("keeping", keeping);
  return (
    <section aria-labelledby="keeping">
      <h2 id="keeping">Keeping</h2>
      <Waiting loaded={loaded} what="how long things are kept">
        {(now) => <Chosen now={now} onChosen={loaded.put} />}
      </Waiting>
    </section>
  );
}

interface ChosenProps {
  readonly now: KeepingBody;
  readonly onChosen: (now: KeepingBody) => void;
}

function Chosen({ now, onChosen }: ChosenProps): JSX.Element {
  const [months, setMonths] = useState(now.months === null ? "" : String(now.months));
  const [gigabytes, setGigabytes] = useState(now.gigabytes === null ? "" : String(now.gigabytes));
  const [seen, setSeen] = useState<KeepingBody>();
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const typed = {
    months: numberTyped(months, 0.1, 1200, "The number of months"),
    gigabytes: numberTyped(gigabytes, 0.001, 100_000, "The number of gigabytes"),
  };
  const wrong = (read: typeof typed.months) => (read.ok ? undefined : read.says);
  const run = async (
    ask: (choice: KeepingChoice) => Promise<Answer<KeepingBody>>,
    take: (body: KeepingBody) => void,
  ) => {
    if (!typed.months.ok || !typed.gigabytes.ok) return;
    setBusy(true);
    const answer = await ask({ months: typed.months.value, gigabytes: typed.gigabytes.value });
    setBusy(false);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) take(answer.value);
  };
  const change = (set: (text: string) => void) => (text: string) => {
    setSeen(undefined); // it was of another choice
    set(text);
  };
  const isNone = months.trim() === "" && gigabytes.trim() === "";
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        if (!isNone) void run(keepingBy, setSeen);
      }}
    >
      <p>{keptWords(now)} Recordings, cards and layouts stay until somebody removes them.</p>
      <TextField
        label="Not longer than, empty for no limit"
        unit="months"
        numeric
        value={months}
        wrong={wrong(typed.months)}
        onInput={change(setMonths)}
      />
      <TextField
        label="Not more than, empty for no limit"
        unit="GB"
        numeric
        value={gigabytes}
        wrong={wrong(typed.gigabytes)}
        onInput={change(setGigabytes)}
      />
      {problem && <ProblemNote problem={problem} />}
      {seen && <p role="status">{goesWords(seen)}</p>}
      <p class="form-foot">
        {!isNone && (
          <button type="submit" class="button" disabled={busy}>
            See what would go
          </button>
        )}
        {(isNone || seen) && (
          <button
            type="button"
            class="button main"
            disabled={busy}
            onClick={() =>
              void run(chooseKeeping, (chosen) => {
                setSeen(undefined);
                onChosen(chosen);
              })
            }
          >
            {isNone ? "Keep everything" : "Keep it so"}
          </button>
        )}
      </p>
    </form>
  );
}
