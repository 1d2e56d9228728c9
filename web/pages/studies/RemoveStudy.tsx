import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useAction } from "../../actionsHere.ts";
import type { Problem } from "../../api.ts";
import { removeStudy } from "../../calls/studies.ts";
import { go } from "../../router.ts";
import { Ask } from "../../views/Ask.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

/** Takes a study away, asked twice. */
export function RemoveStudy({ id }: { readonly id: string }): JSX.Element {
  const [asked, setAsked] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  useAction("study.remove", () => setAsked(true));
  const remove = async () => {
    const answer = await removeStudy(id);
    setAsked(false);
    if (answer.ok) go({ page: "studies" });
    else setProblem(answer.problem);
  };
  return (
    <section>
      <p class="form-foot">
        <button type="button" class="button" onClick={() => setAsked(true)}>
          Remove this study
        </button>
      </p>
      {asked && (
        <Ask
          question="Remove this study with all its results? Nothing brings it back. The recordings stay."
          yes="Remove it"
          no="Keep it"
          onYes={() => void remove()}
          onNo={() => setAsked(false)}
        />
      )}
      {problem && <ProblemNote problem={problem} />}
    </section>
  );
}
