import { type Cause, type Knowledge, type Likelihoods, likelihoodOf } from "./knowledge.ts";

/** Outcome by the id of a piece of evidence. What is not known is not there, and says nothing. */
export type Outcomes = Readonly<Record<string, string>>;

/** An answered step, with the id of its answer. */
export interface Answered {
  readonly step: string;
  readonly answer: string;
}

/** What one outcome says of a cause. */
export interface Reason {
  readonly words: string;
  /** ln of how much more likely it is under this cause than under all of them together: above 0 it speaks for it. */
  readonly weight: number;
}

export interface RankedCause {
  readonly cause: Cause;
  readonly probability: number;
  /** The heaviest first. */
  readonly reasons: readonly Reason[];
}

/** No outcome is quite impossible: a sheet of likelihoods is not that good. */
const LEAST_LIKELY = 0.002;

/**
 * How probable each cause is, the most probable first.
 *
 * Of answers to one step the newest holds: the same step answered again the same way says nothing new.
 *
 * @throws RangeError for an outcome or an answer that the knowledge does not have: a caller's bug.
 * @source Bayes' rule, with the pieces of evidence taken as independent under each cause.
 */
export function rank(knowledge: Knowledge, outcomes: Outcomes, answers: readonly Answered[]): RankedCause[] {
  const said = [
    ...Object.entries(outcomes).map(([id, outcome]) => pieceOf(knowledge.evidence, id, outcome)),
    ...[...new Map(answers.map(({ step, answer }) => [step, answer]))].map(([id, answer]) =>
      pieceOf(knowledge.steps, id, answer),
    ),
  ];
  const weights = knowledge.causes.map(({ id, prior }) =>
    said.reduce((product, { of, outcome }) => product * likely(of, id, outcome), prior),
  );
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return knowledge.causes
    .map((cause, i) => ({
      cause,
      probability: weights[i]! / total,
      reasons: said
        .map(({ of, outcome }) => ({
          words: of.outcomes.get(outcome)?.words ?? outcome,
          weight: Math.log(likely(of, cause.id, outcome) / meanLikelihood(knowledge, of, outcome)),
        }))
        .toSorted((a, b) => Math.abs(b.weight) - Math.abs(a.weight)),
    }))
    .toSorted((a, b) => b.probability - a.probability);
}

/** As `likelihoodOf`, never below what is left for the unforeseen. */
export function likely(of: Likelihoods, cause: string, outcome: string): number {
  return Math.max(LEAST_LIKELY, likelihoodOf(of, cause, outcome));
}

interface Piece {
  readonly of: Likelihoods;
  readonly outcome: string;
}

function pieceOf(from: readonly (Likelihoods & { readonly id: string })[], id: string, outcome: string): Piece {
  const of = from.find((one) => one.id === id);
  if (!of?.outcomes.has(outcome)) throw new RangeError(`nothing is known of ${id}: ${outcome}`);
  return { of, outcome };
}

function meanLikelihood({ causes }: Knowledge, of: Likelihoods, outcome: string): number {
  return causes.reduce((sum, { id, prior }) => sum + prior * likely(of, id, outcome), 0);
}
