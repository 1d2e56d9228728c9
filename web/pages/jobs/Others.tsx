import type { JSX } from "preact";
import type { JobBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { frequencyShown, inLine, pressureShown } from "../../model/quantities.ts";
import { withSensor } from "../../model/wheels.ts";
import { Identity } from "../../views/Identity.tsx";
import { List } from "../../views/List.tsx";
import type { Card } from "./card.ts";

/** Sensors that no wheel of the card has: a neighbour's, or one that still waits for its wheel. Folded. */
export function Others({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
  const { pressure } = useSettings();
  const empty = job.wheels.filter(({ identity }) => identity === null);
  return (
    <details class="others">
      <summary>
        Others nearby ({job.others.length}): not this car?
        {job.unreadableBursts > 0 && ` Besides, ${job.unreadableBursts} bursts that no layout reads.`}
      </summary>
      <List
        label="Others nearby"
        items={job.others}
        keyOf={({ identity }) => identity}
        empty={{
          says: "No other sensor was heard on this visit.",
          action: { label: "Is it sending?", href: "/sending" },
        }}
      >
        {({ identity, carrierHz, gaugeKpa, layout }) => (
          <div class="other">
            <Identity value={identity} />
            <span>
              {inLine(frequencyShown(carrierHz))}
              {gaugeKpa === null ? "" : `, ${inLine(pressureShown(gaugeKpa, pressure))}`}, read as {layout}; on no wheel
              of this card
            </span>
            {empty.map(({ position }) => (
              <button
                key={position}
                type="button"
                class="button"
                disabled={card.saving}
                onClick={() =>
                  void card.save(
                    { wheels: withSensor(job.wheels, position, identity) },
                    `${identity} is on the ${position}.`,
                  )
                }
              >
                Put on {position}
              </button>
            ))}
          </div>
        )}
      </List>
    </details>
  );
}
