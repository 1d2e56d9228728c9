import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { identityTyped } from "../../model/identity.ts";
import { frequencyShown, inLine, pressureShown } from "../../model/quantities.ts";
import { choicesFor, withSensor } from "../../model/wheels.ts";
import { TextField } from "../../views/Fields.tsx";
import { Identity } from "../../views/Identity.tsx";
import { List } from "../../views/List.tsx";
import type { Card } from "./card.ts";

interface ChooseSensorProps {
  readonly job: JobBody;
  readonly card: Card;
  readonly position: string;
  readonly onClose: () => void;
}

/** Which sensor a wheel has: one tap on a sensor that was heard, or its ID typed from a label. */
export function ChooseSensor({ job, card, position, onClose }: ChooseSensorProps): JSX.Element {
  const { pressure } = useSettings();
  const [typed, setTyped] = useState("");
  const group = useRef<HTMLFieldSetElement>(null);
  useEffect(() => {
    group.current?.querySelector("button")?.focus();
  }, []);
  const identity = identityTyped(typed);
  const wrong =
    identity !== null && !/^[0-9a-f]+$/.test(identity)
      ? "A sensor ID has the digits 0 to 9 and the letters a to f. Compare it with the label."
      : undefined;

  const put = async (chosen: string | null, says: string) => {
    if ((await card.save({ wheels: withSensor(job.wheels, position, chosen) }, says)) !== "failed") onClose();
  };
  const has = job.wheels.some((wheel) => wheel.position === position && wheel.identity !== null);

  return (
    <fieldset class="choose" ref={group} onKeyDown={(event) => event.key === "Escape" && onClose()}>
      <legend>Which sensor is on the {position}?</legend>
      <List
        label="Sensors heard"
        items={choicesFor(job, position)}
        keyOf={(choice) => choice.identity}
        empty={{
          says: "No other sensor was heard on this visit: wake this wheel, or type the ID from its label.",
          action: { label: "Is it sending?", href: "/sending" },
        }}
      >
        {(choice) => (
          <button
            type="button"
            class="button choice-button"
            disabled={card.saving}
            onClick={() => void put(choice.identity, `${choice.identity} is on the ${position}.`)}
          >
            <Identity value={choice.identity} />
            <span>
              {choice.carrierHz === null ? "" : inLine(frequencyShown(choice.carrierHz))}
              {choice.gaugeKpa === null ? "" : `, ${inLine(pressureShown(choice.gaugeKpa, pressure))}`}
              {choice.from === undefined ? ", on no wheel yet" : `, now on the ${choice.from}`}
            </span>
          </button>
        )}
      </List>
      <div class="type-id">
        <TextField
          label="Or its ID, from the label"
          value={typed}
          onInput={setTyped}
          wrong={wrong}
          fixedWidth
          maxLength={24}
        />
        <button
          type="button"
          class="button"
          disabled={card.saving || identity === null || wrong !== undefined}
          onClick={() => void put(identity, `${identity} is on the ${position}.`)}
        >
          Put it on this wheel
        </button>
      </div>
      <p class="form-foot">
        {has && (
          <button
            type="button"
            class="button"
            disabled={card.saving}
            onClick={() => void put(null, `The ${position} has no sensor ID now.`)}
          >
            No sensor ID
          </button>
        )}
        <button type="button" class="button" onClick={onClose}>
          Close
        </button>
      </p>
    </fieldset>
  );
}
