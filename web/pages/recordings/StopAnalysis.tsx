import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { stopAnalysis } from "../../calls/recordings.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";

interface StopAnalysisProps {
  readonly recording: RecordingBody;
  readonly onStopped: (recording: RecordingBody) => void;
}

/** Ends an analysis that takes too long; it can be begun again. */
export function StopAnalysis({ recording: { hash, name }, onStopped }: StopAnalysisProps): JSX.Element {
  const [problem, setProblem] = useState<Problem>();
  const stop = async () => {
    const answer = await stopAnalysis(hash);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) onStopped(answer.value);
  };
  return (
    <>
      <button type="button" class="button" aria-label={`Stop the analysis of ${name}`} onClick={() => void stop()}>
        Stop
      </button>
      {problem && <ProblemNote problem={problem} />}
    </>
  );
}
