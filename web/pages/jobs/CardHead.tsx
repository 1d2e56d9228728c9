import type { JSX } from "preact";
import type { JobBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { inLine, pressureShown } from "../../model/quantities.ts";

interface CardHeadProps {
  readonly job: JobBody;
  readonly onEdit: () => void;
}

/** Which car this is, what its driver says, and what its placard asks for. */
export function CardHead({ job, onEdit }: CardHeadProps): JSX.Element {
  const { pressure } = useSettings();
  const placard = (kpa: number | null) => (kpa === null ? "not entered" : inLine(pressureShown(kpa, pressure)));
  return (
    <section class="card-head" aria-label="The car">
      <p class="plate">{job.plate === "" ? "no plate yet" : job.plate}</p>
      <dl>
        <Entry name="Vehicle" text={job.vehicle === "" ? "not entered" : job.vehicle} />
        <Entry
          name="Odometer"
          text={job.odometerKm === null ? "not entered" : `${job.odometerKm.toLocaleString("en-GB")} km`}
        />
        <Entry name="Complaint" text={job.complaint === "" ? "not entered" : `“${job.complaint}”`} />
        <Entry name="Placard front, cold" text={placard(job.placardFrontKpa)} />
        <Entry name="Placard rear, cold" text={placard(job.placardRearKpa)} />
        {(job.placardSpareKpa !== null || job.wheels.some(({ position }) => position.includes("spare"))) && (
          <Entry name="Placard spare, cold" text={placard(job.placardSpareKpa)} />
        )}
        {job.ambientKpa !== null && <Entry name="Barometer" text={inLine(pressureShown(job.ambientKpa, pressure))} />}
      </dl>
      <p>
        <button type="button" class="button" onClick={onEdit}>
          Edit the card
        </button>
      </p>
    </section>
  );
}

function Entry({ name, text }: { readonly name: string; readonly text: string }): JSX.Element {
  return (
    <div>
      <dt>{name}</dt>
      <dd class={text === "not entered" ? "not-entered" : ""}>{text}</dd>
    </div>
  );
}
