import type { JSX } from "preact";
import { percentWords } from "../model/quantities.ts";

interface CauseListProps {
  /** The likeliest first. */
  readonly causes: readonly {
    readonly id: string;
    readonly words: string;
    readonly probability: number;
    readonly reasons: readonly { readonly words: string; readonly weight: number }[];
  }[];
}

/** Why something may be as it is, with how likely each cause is. */
export function CauseList({ causes }: CauseListProps): JSX.Element {
  return (
    <>
      <ol class="ranking">
        {causes.map(({ id, words, probability, reasons }) => (
          <li key={id}>
            <p class="cause">
              <span class="cause-figure">{percentWords(probability)}</span> {words}
            </p>
            <svg class="cause-bar" viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true">
              <rect class="cause-ground" width="100" height="4" />
              <rect class="cause-fill" width={100 * probability} height="4" />
            </svg>
            {reasons.length > 0 && (
              <ul class="reasons">
                {reasons.map((reason) => (
                  <li key={reason.words}>
                    {reason.weight > 0 ? "For it: " : "Against it: "}
                    {reason.words}.
                  </li>
                ))}
              </ul>
            )}
          </li>
        ))}
      </ol>
      <p class="caption">
        Judgement weighed by Bayes' rule (common practice, no source): what nobody knows counts neither way. The maker's
        procedure comes first.
      </p>
    </>
  );
}
