import type { JSX } from "preact";
import type { SpecimenBody, SpecimenMoreBody } from "../../../server/http/wire/lots.ts";
import { CauseList } from "../../views/CauseList.tsx";
import type { LotHere } from "./useLot.ts";

interface SilenceProps {
  readonly silence: NonNullable<SpecimenMoreBody["silence"]>;
  readonly row: SpecimenBody;
  readonly here: LotHere;
}

/** Why a specimen is silent, and what to do about it, as on the page of a wheel. */
export function SpecimenSilence({ silence, row, here }: SilenceProps): JSX.Element {
  const { couldWeHaveHeardIt, wasItWoken, causes, steps } = silence;
  return (
    <>
      <dl class="silence">
        <dt>Could we have heard it?</dt>
        <dd>{couldWeHaveHeardIt}</dd>
        <dt>Was it woken, and how?</dt>
        <dd>{wasItWoken}</dd>
      </dl>
      <p>
        <button type="button" class="button" onClick={() => void here.wake(row.number)}>
          Woken again<span class="heard-only">: specimen {row.number}</span>
        </button>
      </p>
      {steps.length > 0 && (
        <section aria-labelledby="specimen-steps" class="step-list">
          <h2 id="specimen-steps">What to do next</h2>
          <ol>
            {steps.map(({ words, minutes, caution }) => (
              <li key={words} class="next-step">
                <p>
                  <strong>{/[.?]$/.test(words) ? words : `${words}.`}</strong>{" "}
                  <span class="caption">About {minutes} min.</span>
                </p>
                {caution !== null && <p class="caution">{caution}</p>}
              </li>
            ))}
          </ol>
        </section>
      )}
      {causes.length > 0 && (
        <section aria-labelledby="specimen-why">
          <h2 id="specimen-why">Why it may be silent</h2>
          <CauseList causes={causes.map((cause) => ({ ...cause, id: cause.words, reasons: [] }))} />
        </section>
      )}
    </>
  );
}
