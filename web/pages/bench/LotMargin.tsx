import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LotBody } from "../../../server/http/wire/lots.ts";
import type { Problem } from "../../api.ts";
import { removeLot } from "../../calls/lots.ts";
import { keepTyping } from "../../device.ts";
import { go } from "../../router.ts";
import { Ask } from "../../views/Ask.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

/** What holds for the whole lot: how it is decided, what no pot tells, care at the pot. */
export function LotMargin({ lot }: { readonly lot: LotBody }): JSX.Element {
  return (
    <>
      <h2>How it is decided</h2>
      <p>{lot.ruleSays}</p>
      <h2>Not tested here</h2>
      <ul class="plain">
        {lot.notTested.map((says) => (
          <li key={says}>{says}</li>
        ))}
      </ul>
      <h2>Care at the pot</h2>
      <p>
        Never above its rating, with a relief valve fitted, and eye protection on. Let the pressure down before the lid
        is opened. Lithium cells are not opened. What the part's maker prescribes comes first.
      </p>
      <h2>This lot</h2>
      <Removing lot={lot} />
      <h2>Receives only</h2>
      <p class="caption">
        Nothing is sent to a sensor from here. Radio figures are indicative: approval is for accredited laboratories.
      </p>
    </>
  );
}

function Removing({ lot }: { readonly lot: LotBody }): JSX.Element {
  const [asking, setAsking] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const remove = async () => {
    const answer = await removeLot(lot.id, lot.revision);
    setAsking(false);
    if (answer.ok) {
      keepTyping(`lot.${lot.id}`, null);
      go({ page: "bench" }, { replace: true });
    } else setProblem(answer.problem);
  };
  return (
    <>
      {problem && <ProblemNote problem={problem} />}
      {asking ? (
        <Ask
          question={`Remove lot ${lot.id}? What was heard stays; for 30 days it can be had back from the list of lots.`}
          yes="Remove it"
          no="Keep it"
          onYes={() => void remove()}
          onNo={() => setAsking(false)}
        />
      ) : (
        <p>
          <button type="button" class="button small" onClick={() => setAsking(true)}>
            Remove this lot
          </button>
        </p>
      )}
    </>
  );
}
