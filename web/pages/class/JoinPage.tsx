import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { SeatBody } from "../../../server/http/wire/lessons.ts";
import type { Problem } from "../../api.ts";
import { seat, takeSeat } from "../../calls/lessons.ts";
import { keepLesson, keptLesson } from "../../device.ts";
import { go } from "../../router.ts";
import { TextField } from "../../views/Fields.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import "./lesson.css";

/** Where a phone takes a seat. The code stands in the fragment of the address, which no server is ever sent. */
export function JoinPage(): JSX.Element {
  const [code, setCode] = useState(() => location.hash.slice(1));
  const [number, setNumber] = useState("");
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const [before, setBefore] = useState<SeatBody>();
  useEffect(() => {
    const take = () => {
      const next = location.hash.slice(1);
      if (next !== "") setCode(next);
      history.replaceState(null, "", location.pathname);
    };
    const given = location.hash.slice(1);
    take();
    addEventListener("hashchange", take);
    // The square may be read twice by the same phone, which then goes on where it was. One that never sat is not asked.
    if (keptLesson() === null) return () => removeEventListener("hashchange", take);
    void seat().then((answer) => {
      if (!answer.ok) return;
      if (given.toUpperCase() === answer.value.code) go({ page: "seat" }, { replace: true });
      else setBefore(answer.value);
    });
    return () => removeEventListener("hashchange", take);
  }, []);
  const isNumber = number.trim() === "" || /^[1-9]\d?$/.test(number.trim());
  const join = async () => {
    setBusy(true);
    const answer = await takeSeat(code.trim(), number.trim() === "" ? undefined : Number(number));
    setBusy(false);
    if (answer.ok) {
      keepLesson(answer.value.seat.code);
      go({ page: "seat" });
    } else setProblem(answer.problem);
  };
  return (
    <Page title="Take a seat" lead="The code stands on the board. You need no account and no name.">
      {before && (
        <p>
          This phone has seat {before.number} in the lesson {before.title}. <a href="/class/seat">Go on with it</a>
        </p>
      )}
      <form
        class="join-form"
        onSubmit={(event) => {
          event.preventDefault();
          void join();
        }}
      >
        <TextField label="Code of the lesson" value={code} onInput={setCode} maxLength={20} fixedWidth />
        <TextField
          label="Seat number, or empty for the next that is free"
          value={number}
          onInput={setNumber}
          numeric
          maxLength={2}
          wrong={isNumber ? undefined : "A number from 1 on."}
        />
        {problem && <ProblemNote problem={problem} />}
        <p class="form-foot">
          <button type="submit" class="button main" disabled={busy || code.trim() === "" || !isNumber}>
            Take a seat
          </button>
        </p>
      </form>
    </Page>
  );
}
