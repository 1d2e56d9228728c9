import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { InPlaceOpenBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { openInPlace } from "../../calls/inPlace.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface OpenInputProps {
  /** Below the folder in-place; `null` where it lies elsewhere. */
  readonly path: string | null;
  readonly name: string;
  /** What the study's settings say of files of its kind. */
  readonly told: Omit<InPlaceOpenBody, "path">;
}

/** An input that is no recording of this house yet: a button that opens it where it lies, or how it becomes one. */
export function OpenInput({ path, name, told }: OpenInputProps): JSX.Element {
  const [state, setState] = useState<"not yet" | "begun">("not yet");
  const [problem, setProblem] = useState<Problem>();
  if (path === null) {
    return <span class="caption">Its samples are no recording here. Add the file at Recordings to look at it.</span>;
  }
  const open = async () => {
    const answer = await openInPlace({ path, ...told });
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) setState("begun");
  };
  return (
    <>
      {state === "begun" ? (
        <span class="caption" role="status">
          Being read; then this leads to it.
        </span>
      ) : (
        <button type="button" class="button small" onClick={() => void open()}>
          Open it where it lies<span class="heard-only">: {name}</span>
        </button>
      )}
      {problem && <ProblemNote problem={problem} />}
    </>
  );
}
