import type { Complaint } from "../../decoders/layouts/complaint.ts";
import { PROBLEMS, type ProblemName } from "./problems.ts";
import type { ProblemBody } from "./wire.ts";

/** What only some problems say. */
export interface ProblemExtras {
  readonly complaints?: readonly Complaint[];
  /** What is there now, where a write was based on an older revision. */
  readonly current?: unknown;
  readonly headers?: Readonly<Record<string, string>>;
  /** Put before the next steps that every problem of that name has. */
  readonly nextSteps?: readonly string[];
}

/** A refusal on its way to the one place that answers it; `message` says what is wrong in this case. */
export class Problem extends Error {
  override readonly name = "Problem";
  readonly problem: ProblemName;
  readonly extras: ProblemExtras;

  constructor(problem: ProblemName, detail: string, extras: ProblemExtras = {}) {
    super(detail);
    this.problem = problem;
    this.extras = extras;
  }

  get status(): number {
    return PROBLEMS[this.problem].status;
  }
}

/**
 * A problem as the body of an answer.
 *
 * @param instance The path that was asked for.
 * @source RFC 9457, section 3.1.
 */
export function problemBody({ problem, message, extras }: Problem, instance: string): ProblemBody {
  const { title, status, nextSteps } = PROBLEMS[problem];
  return {
    type: `/help/problems/${problem}`,
    title,
    status,
    detail: message,
    instance,
    nextSteps: [...(extras.nextSteps ?? []), ...nextSteps],
    ...(extras.complaints === undefined ? {} : { complaints: extras.complaints.map((one) => ({ ...one })) }),
    ...(extras.current === undefined ? {} : { current: extras.current }),
  };
}
