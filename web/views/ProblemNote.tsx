import type { JSX } from "preact";
import type { Problem } from "../api.ts";
import { Mark } from "./Mark.tsx";

interface ProblemNoteProps {
  readonly problem: Problem;
  /** Tries again what failed. */
  readonly again?: (() => void) | undefined;
}

/** What went wrong, in words, with the ways out. */
export function ProblemNote({ problem, again }: ProblemNoteProps): JSX.Element {
  return (
    <div class="problem" role="alert">
      <p>
        <Mark strength="look here" words={problem.title} />
      </p>
      <p>{problem.detail}</p>
      {problem.complaints && problem.complaints.length > 0 && (
        <ul class="complaints">
          {problem.complaints.map(({ path, found, allowed }) => (
            <li key={`${path} ${found}`}>
              <code>{path === "" ? "the whole" : path}</code>: found <code>{found}</code>, allowed {allowed}
            </li>
          ))}
        </ul>
      )}
      <ul class="next-steps" aria-label="What you can do">
        {problem.nextSteps.map((step) => (
          <li key={step}>{step}</li>
        ))}
      </ul>
      {again && (
        <button type="button" class="button" onClick={again}>
          Try again
        </button>
      )}
    </div>
  );
}
