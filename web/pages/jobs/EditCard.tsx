import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { changedEntries, type Draft, draftOf } from "../../model/draft.ts";
import { freePositions, withWheel } from "../../model/wheels.ts";
import { TextField } from "../../views/Fields.tsx";
import type { Card } from "./card.ts";

interface EditCardProps {
  readonly job: JobBody;
  readonly card: Card;
  readonly onClose: () => void;
}

/** The card's entries as boxes. Written in one go; what was not touched is not written. */
export function EditCard({ job, card, onClose }: EditCardProps): JSX.Element {
  const { pressure } = useSettings();
  const [draft, setDraft] = useState<Draft>(() => draftOf(job, pressure));
  // What others change meanwhile must neither look like a change of ours nor be written over unseen.
  const [began] = useState<Draft>(draft);
  const [base] = useState<JobBody>(job);
  const changed = changedEntries(draft, began, pressure);
  const wrong = (key: keyof Draft) => (changed.ok ? undefined : changed.wrong[key]);
  const box = (key: keyof Draft) => ({
    value: draft[key],
    wrong: wrong(key),
    onInput: (text: string) => setDraft((before) => ({ ...before, [key]: text })),
  });

  const write = async () => {
    if (!changed.ok) return;
    if (Object.keys(changed.change).length === 0 || (await card.save(changed.change, "The card is written.", base)))
      onClose();
  };

  return (
    <form
      class="edit-card"
      aria-label="The car"
      onSubmit={(event) => {
        event.preventDefault();
        void write();
      }}
      onKeyDown={(event) => event.key === "Escape" && onClose()}
    >
      <TextField label="Plate" maxLength={40} {...box("plate")} />
      <TextField label="Vehicle" maxLength={120} {...box("vehicle")} />
      <TextField label="Odometer" unit="km" numeric {...box("odometerKm")} />
      <TextField label="Placard front, cold" unit={pressure} numeric {...box("placardFrontKpa")} />
      <TextField label="Placard rear, cold" unit={pressure} numeric {...box("placardRearKpa")} />
      <TextField label="Placard spare, cold" unit={pressure} numeric {...box("placardSpareKpa")} />
      <TextField label="Barometer, if you have one" unit={`${pressure} absolute`} numeric {...box("ambientKpa")} />
      <TextField label="Complaint, in the customer's words" lines={3} maxLength={2000} {...box("complaint")} />
      <p class="form-foot">
        <button type="submit" class="button main" disabled={card.saving || !changed.ok}>
          Write the card
        </button>
        <button type="button" class="button" onClick={onClose}>
          Leave as it was
        </button>
      </p>
      <Wheels job={job} card={card} />
    </form>
  );
}

/** Wheels come and go one by one, each with a way back. */
function Wheels({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
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
    </fieldset>
  );
}
