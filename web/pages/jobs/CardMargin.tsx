import type { JSX } from "preact";
import type { JobBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { SENSOR_UNCERTAINTY_KPA } from "../../model/pressureScale.ts";
import { inLine, pressureShown } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";

/** Beside the ledger: how to read it, and where its figures come from. */
export function CardMargin({ job }: { readonly job: JobBody }): JSX.Element {
  const { pressure } = useSettings();
  return (
    <>
      <h2>How to read it</h2>
      <ul class="key">
        <li>
          <svg class="key-mark" viewBox="0 0 32 16" aria-hidden="true">
            <path class="scale-line" d="M0 8h32" />
            <path class="placard-tick" d="M16 0v16" />
          </svg>
          Tall tick: the placard, which is a cold pressure.
        </li>
        <li>
          <svg class="key-mark" viewBox="0 0 32 16" aria-hidden="true">
            <path class="scale-line" d="M0 8h32" />
            <path class="lamp-tick" d="M16 8v6" />
          </svg>
          Short tick: at or below it the lamp must be lit, by the US rule (49 CFR 571.138, S4.2). It does not say that a
          tyre above it is right.
        </li>
        <li>
          <svg class="key-mark" viewBox="0 0 32 16" aria-hidden="true">
            <path class="scale-line" d="M0 8h32" />
            <path class="band" d="M6 8h20" />
            <circle class="reading" cx="16" cy="8" r="4" />
          </svg>
          Dot and band: the cold pressure where it was measured or follows from the temperatures on the card, else as
          the sensor told it, ± {inLine(pressureShown(SENSOR_UNCERTAINTY_KPA, pressure))} as such sensors commonly have.
          A warm tyre reads higher than cold.
        </li>
      </ul>
      <h2>Card</h2>
      <p>
        {job.sample ? "A sample that came with the house. " : ""}Made {timeShown(job.createdAt)}; changed{" "}
        {timeShown(job.changedAt)}; revision {job.revision}.
      </p>
      <p>
        <a href={`/api/v1/jobs/${job.id}/sheet`}>Hand-over sheet</a>
      </p>
    </>
  );
}
