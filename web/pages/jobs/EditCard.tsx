import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { EarlierBody, JobBody, JobChangeBody } from "../../../server/http/wire.ts";
import { earlierOf } from "../../calls/jobs.ts";
import { layouts } from "../../calls/layouts.ts";
import { useSettings } from "../../device.ts";
import { useLoaded } from "../../loaded.ts";
import type { DraftKey } from "../../model/draft.ts";
import { offered, VISIT_MEANINGS, wheelsOfKind } from "../../model/intake.ts";
import { timeShown } from "../../model/times.ts";
import { freePositions, withWheel } from "../../model/wheels.ts";
import { Choice, PickOne, TextField } from "../../views/Fields.tsx";
import type { Card } from "./card.ts";
import type { JobAutosave } from "./jobAutosave.ts";

interface EditCardProps {
  readonly job: JobBody;
  readonly card: Card;
  readonly autosave: JobAutosave;
  readonly onClose: () => void;
}

/** The car as it comes in. Each box is kept as it is typed; nothing has to be filled in. */
export function EditCard({ job, card, autosave, onClose }: EditCardProps): JSX.Element {
  const { pressure, temperature } = useSettings();
  const box = (key: DraftKey) => ({
    value: autosave.draft[key],
    wrong: autosave.wrong[key],
    onInput: (text: string) => autosave.type(key, text),
    onLeave: autosave.flush,
  });
  const put = (change: JobChangeBody, says: string) => void card.save(change, says);

  return (
    <form
      class="edit-card"
      aria-label="The car"
      onSubmit={(event) => {
        event.preventDefault();
        autosave.flush();
        onClose();
      }}
      onKeyDown={(event) => event.key === "Escape" && onClose()}
    >
      <TextField label="Plate or name" maxLength={40} {...box("plate")} />
      <TextField label="Vehicle" maxLength={120} {...box("vehicle")} />
      <Earlier job={job} card={card} />
      <TextField label="Odometer" unit="km" numeric {...box("odometerKm")} />
      <TextField label="Placard front, cold" unit={pressure} numeric {...box("placardFrontKpa")} />
      <TextField label="Placard rear, cold" unit={pressure} numeric {...box("placardRearKpa")} />
      {job.wheels.some(({ position }) => position.includes("spare")) && (
        <TextField label="Placard spare, cold" unit={pressure} numeric {...box("placardSpareKpa")} />
      )}
      <TextField label="Complaint, in the customer's words" lines={3} maxLength={2000} {...box("complaint")} />
      <Choice
        legend="What brings it in?"
        value={job.visit ?? ""}
        options={VISITS}
        onChange={(visit) => put({ visit: visit === "" ? null : visit }, `Brought in by: ${visit || "not said"}`)}
      />
      {job.visit !== null && VISIT_MEANINGS[job.visit] !== undefined && (
        <p class="meaning">{VISIT_MEANINGS[job.visit]}</p>
      )}
      {job.visit === "before tyre work" && (
        <TextField label="Seen and signed before the work by" maxLength={120} {...box("signedBefore")} />
      )}
      <Choice
        legend="Driven in the last three hours?"
        value={job.drivenLately === null ? "" : job.drivenLately ? "yes" : "no"}
        options={YES_NO}
        onChange={(said) =>
          put({ drivenLately: said === "" ? null : said === "yes" }, `Driven lately: ${said || "not said"}`)
        }
      />
      <TextField label="Temperature outside" unit={temperature === "degC" ? "°C" : "°F"} numeric {...box("ambientC")} />
      <Choice
        legend="Kind of vehicle"
        value={job.kind}
        options={KINDS}
        onChange={(kind) => put({ kind, wheels: wheelsOfKind(kind, job.wheels) }, `Kind of vehicle: ${kind}`)}
      />
      <details class="more">
        <summary>More: placard's unit, tyre type, altitude, what the vehicle expects</summary>
        <div class="edit-card-more">
          <PickOne
            label="Unit on the placard"
            value={job.placardUnit ?? ""}
            options={PLACARD_UNITS}
            onChange={(unit) =>
              put({ placardUnit: unit === "" ? null : unit }, `Unit on the placard: ${unit || "not said"}`)
            }
          />
          <PickOne
            label="Tyre type, from the sidewall"
            value={job.tyreType}
            options={TYRE_TYPES}
            onChange={(tyreType) => put({ tyreType }, `Tyre type: ${tyreType || "not said"}`)}
          />
          <TextField label="Altitude" unit="m" numeric {...box("altitudeM")} />
          <TextField label="Barometer, if you have one" unit={`${pressure} absolute`} numeric {...box("ambientKpa")} />
          <TextField label="Frequency it expects, if known" unit="MHz" numeric {...box("expectedCarrierHz")} />
          <ExpectedLayout {...box("expectedLayout")} />
          <TextField label="What the shop knows of such vehicles" lines={3} maxLength={2000} {...box("vehicleNotes")} />
        </div>
      </details>
      <p class="form-foot">
        <button type="submit" class="button main">
          Done with the car
        </button>
        <span class="caption" role="status">
          {autosave.says}
        </span>
      </p>
      <Wheels job={job} card={card} />
    </form>
  );
}

const VISITS = [
  ["lamp steady", "Lamp steady"],
  ["lamp flashing", "Lamp flashes first, then steady"],
  ["before tyre work", "Check before tyre work"],
  ["rotation", "Rotation"],
  ["second set", "Seasonal second set"],
  ["other", "Something else"],
  ["", "Not said"],
] as const;
const YES_NO = [
  ["yes", "Yes, it is warm"],
  ["no", "No, it stood three hours"],
  ["", "Not known"],
] as const;
const KINDS = [
  ["car", "Car or van, 4 wheels"],
  ["motorcycle", "Motorcycle, 2 wheels"],
  ["dual rear wheels", "Dual rear wheels, 6"],
  ["trailer", "Trailer"],
] as const;
const PLACARD_UNITS = [
  ["", "not said"],
  ["kPa", "kPa"],
  ["psi", "psi"],
  ["bar", "bar"],
] as const;
const TYRE_TYPES = [
  ["", "not said"],
  ["P-metric, standard load", "P-metric, standard load"],
  ["P-metric, extra load", "P-metric, extra load"],
  ["load range C", "Load range C"],
  ["load range D", "Load range D"],
  ["load range E", "Load range E"],
  ["other", "another"],
] as const;

interface ExpectedLayoutProps {
  readonly value: string;
  readonly onInput: (text: string) => void;
  readonly onLeave: () => void;
}

function ExpectedLayout(box: ExpectedLayoutProps): JSX.Element {
  const shelf = useLoaded("layouts", layouts);
  const options = shelf.state === "there" ? shelf.value.map(({ id }) => id) : [];
  return <TextField label="Layout it expects, if known" maxLength={80} options={options} {...box} />;
}

/** What earlier cards of this plate or vehicle say, to be taken over by one tap. */
function Earlier({ job, card }: Pick<EditCardProps, "job" | "card">): JSX.Element | null {
  const loaded = useLoaded(`earlier ${job.id}`, () => earlierOf(job.id));
  const { reload } = loaded;
  useEffect(reload, [job.plate, job.vehicle, reload]);
  const best: EarlierBody | undefined = loaded.state === "there" ? loaded.value[0] : undefined;
  if (!best) return null;
  const change = offered(best, job);
  if (Object.keys(change).length === 0) return null;
  const what = best.same === "plate" ? "This plate was here" : "Such a vehicle was here";
  return (
    <p class="earlier">
      {what} on {timeShown(best.createdAt)} (<a href={`/jobs/${best.id}`}>job {best.id}</a>).{" "}
      <button
        type="button"
        class="button"
        disabled={card.saving}
        onClick={() => void card.save(change, `Taken over from job ${best.id}`)}
      >
        Take over what it says
      </button>
    </p>
  );
}

/** For vehicles with more wheels than most: a trailer's axles, a truck's. */
function AddPosition({ job, card }: Pick<EditCardProps, "job" | "card">): JSX.Element {
  const [typed, setTyped] = useState("");
  const position = typed.trim().toLowerCase().replace(/\s+/g, " ");
  const isThere = job.wheels.some((wheel) => wheel.position === position);
  const add = () =>
    void card
      .save({ wheels: withWheel(job.wheels, position) }, `The ${position} is on the card.`)
      .then(() => setTyped(""));
  return (
    <div class="inline-form">
      <TextField
        label="Another position, such as axle 2 left outer"
        maxLength={40}
        value={typed}
        onInput={setTyped}
        wrong={isThere ? "The card has that wheel already." : undefined}
      />
      <button type="button" class="button" disabled={card.saving || position === "" || isThere} onClick={add}>
        Add it
      </button>
    </div>
  );
}

/** Wheels come and go one by one, each with a way back. */
function Wheels({ job, card }: Pick<EditCardProps, "job" | "card">): JSX.Element {
  const free = freePositions(job.wheels);
  return (
    <fieldset class="wheels">
      <legend>Wheels on this card</legend>
      {job.wheels.map(({ position }) => (
        <button
          key={position}
          type="button"
          class="button"
          disabled={card.saving || job.wheels.length === 1}
          onClick={() =>
            void card.save(
              { wheels: job.wheels.filter((wheel) => wheel.position !== position) },
              `The ${position} is taken off the card.`,
            )
          }
        >
          Take off {position}
        </button>
      ))}
      {free.map((position) => (
        <button
          key={position}
          type="button"
          class="button"
          disabled={card.saving}
          onClick={() => void card.save({ wheels: withWheel(job.wheels, position) }, `The ${position} is on the card.`)}
        >
          Add {position}
        </button>
      ))}
      <AddPosition job={job} card={card} />
    </fieldset>
  );
}
