import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { RevealBody } from "../../../server/http/wire/exercises.ts";
import { counted } from "../../model/quantities.ts";
import { ladderHeading, ladderSteps } from "../../model/recording/ladder.ts";
import { RungStep } from "../recording/Ladder.tsx";

interface LadderWalkProps {
  readonly rungs: RevealBody["ladder"];
  /** Whose ladder it is, such as `burst 2 of the recording`. */
  readonly of: string;
}

/** The check ladder walked from the bottom, a rung at a time, to the first that was missed. */
export function LadderWalk({ rungs, of }: LadderWalkProps): JSX.Element {
  const [climbed, setClimbed] = useState(1);
  const steps = ladderSteps(rungs);
  const reached = steps.filter(({ state }) => state !== "not reached");
  const shown = reached.slice(0, climbed);
  const isOver = shown.length === reached.length;
  const rest = steps.length - reached.length;
  return (
    <section class="ladder-walk" aria-labelledby="walk-heading">
      <h3 id="walk-heading">Up the check ladder</h3>
      <p class="caption">Of {of}, from the bottom</p>
      <ol class="rungs" aria-live="polite" aria-relevant="additions">
        {shown.map((step) => (
          <li key={step.rung} class={`rung rung-${step.state}`}>
            <RungStep step={step} />
          </li>
        ))}
      </ol>
      {isOver ? (
        <p class="walk-end" role="status">
          <b>{ladderHeading(rungs)}.</b>
          {rest > 0 && ` ${counted(rest, "rung")} above ${rest === 1 ? "was" : "were"} not reached.`}
        </p>
      ) : (
        <p class="form-foot">
          <button type="button" class="button" onClick={() => setClimbed(shown.length + 1)}>
            Next rung
            <span class="heard-only">
              , {shown.length + 1} of {steps.length}
            </span>
          </button>
          <button type="button" class="button" onClick={() => setClimbed(steps.length)}>
            Whole ladder
          </button>
        </p>
      )}
    </section>
  );
}
