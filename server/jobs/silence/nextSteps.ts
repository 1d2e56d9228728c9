import type { Knowledge, Step } from "./knowledge.ts";
import { type Answered, likely, type RankedCause } from "./rank.ts";

/** A step that is worth doing now. */
export interface NextStep {
  readonly step: Step;
  /** What its answer is expected to tell, in bits. */
  readonly bits: number;
  readonly bitsPerMinute: number;
}

/** What tells less than this is not worth a technician's time. */
const LEAST_BITS = 0.01;
const MOST_OFFERED = 3;
/** To walk there, read what to do and write the answer down, whatever the step. Common practice, no source. */
const HANDLING_MINUTES = 2;

/**
 * The steps that tell most per minute, at most three, the best first.
 *
 * A step that was answered is not offered again: what misled its answer once, such as an activator held wrongly, is
 * likely to mislead it again.
 *
 * @param state Of the wheel, as the evidence calls it.
 * @source Expected information of an experiment: D. V. Lindley, Ann. Math. Statist. 27 (1956) 986. From memory.
 */
export function nextSteps(
  knowledge: Knowledge,
  ranking: readonly RankedCause[],
  answers: readonly Answered[],
  state: string,
): NextStep[] {
  const done = new Set(answers.map(({ step }) => step));
  return knowledge.steps
    .filter(({ id, needs }) => !done.has(id) && (needs === undefined || needs === state))
    .map((step) => {
      const bits = expectedBits(step, ranking);
      return { step, bits, bitsPerMinute: bits / (step.minutes + HANDLING_MINUTES) };
    })
    .filter(({ bits }) => bits >= LEAST_BITS)
    .toSorted((a, b) => b.bitsPerMinute - a.bitsPerMinute)
    .slice(0, MOST_OFFERED);
}

/** Mutual information of the cause and the step's answer, in bits. */
export function expectedBits(step: Step, ranking: readonly RankedCause[]): number {
  let bits = 0;
  for (const answer of step.outcomes.keys()) {
    const joint = ranking.map(({ cause, probability }) => ({
      probability,
      likelihood: likely(step, cause.id, answer),
    }));
    const whole = joint.reduce((sum, { probability, likelihood }) => sum + probability * likelihood, 0);
    for (const { probability, likelihood } of joint) {
      if (probability > 0) bits += probability * likelihood * Math.log2(likelihood / whole);
    }
  }
  return bits;
}
