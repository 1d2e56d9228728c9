import type { JSX } from "preact";
import type { BurstBody } from "../../../server/http/wire.ts";
import { type LadderStep, ladderHeading, ladderSteps } from "../../model/recording/ladder.ts";
import { Empty } from "../Empty.tsx";
import { Mark } from "../Mark.tsx";

interface LadderProps {
  /** Of the chosen burst, or of a recording in which there is none. */
  readonly rungs: BurstBody["rungs"];
  /** What it is the ladder of, such as `burst at 0.161 s`. */
  readonly of: string;
}

/** Why a burst was read or not: nine rungs, climbed to the first that was missed. */
export function Ladder({ rungs, of }: LadderProps): JSX.Element {
  return (
    <section class="ladder" id="ladder" aria-labelledby="ladder-heading">
      <h2 id="ladder-heading">{ladderHeading(rungs)}</h2>
      <p class="caption">The check ladder of the {of}</p>
      {rungs.length === 0 ? (
        <Empty
          says="This recording has no ladder; it was analysed before there was one."
          action={{ label: "All recordings", href: "/recordings" }}
        />
      ) : (
        <ol class="rungs">
          {ladderSteps(rungs).map((step) => (
            <li key={step.rung} class={`rung rung-${step.state.replace(" ", "-")}`}>
              <RungStep step={step} />
            </li>
          ))}
        </ol>
      )}
    </section>
  );
}

/** One rung: its question, what was measured and needed, and what to do where it was missed. */
export function RungStep({ step }: { readonly step: LadderStep }): JSX.Element {
  const { question, state, says, measured, needed, nextStep } = step;
  return (
    <>
      <p class="rung-head">
        <span class="rung-question">{question}</span>
        {state === "missed" ? (
          <Mark strength="look here" words="missed" />
        ) : (
          <span class="rung-state">{state === "passed" ? "yes" : "not reached"}</span>
        )}
      </p>
      {measured !== undefined && (
        <p class="rung-figures">
          measured <b>{measured}</b>
          {needed !== undefined && ` – needed ${needed}`}
        </p>
      )}
      {says !== undefined && <p class="rung-says">{says}</p>}
      {nextStep !== undefined && (
        <p class="next-step">
          <b>Next step:</b> {nextStep}
        </p>
      )}
    </>
  );
}
