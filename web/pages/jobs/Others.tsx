import type { JSX } from "preact";
import type { JobBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { frequencyShown, inLine, pressureShown } from "../../model/quantities.ts";
import { withSensor } from "../../model/wheels.ts";
import { Identity } from "../../views/Identity.tsx";
import { List } from "../../views/List.tsx";
import type { Card } from "./card.ts";
import { TeachFromCar } from "./TeachFromCar.tsx";

/** Sensors that no wheel of the card has: those that may be this car's in sight, a neighbour's folded with the reason. */
export function Others({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
  const ours = job.others.filter(({ side }) => side === "this car");
  const nearby = job.others.filter(({ side }) => side === "nearby");
  return (
    <section class="others" aria-label="Other sensors">
      {ours.length > 0 && (
        <>
          <h2>Heard, and on no wheel yet ({ours.length})</h2>
          <OtherList label="On no wheel yet" others={ours} job={job} card={card} />
        </>
      )}
      <details>
        <summary>Others nearby ({nearby.length}): not this car?</summary>
        <OtherList label="Others nearby" others={nearby} job={job} card={card} />
      </details>
      {job.unreadableBursts > 0 && <TeachFromCar job={job} />}
    </section>
  );
}

type Other = JobBody["others"][number];

interface OtherListProps {
  readonly label: string;
  readonly others: readonly Other[];
  readonly job: JobBody;
  readonly card: Card;
}

function OtherList({ label, others, job, card }: OtherListProps): JSX.Element {
  const { pressure } = useSettings();
  const empty = job.lines.filter(({ identity }) => identity === null);
  const move = ({ identity, side }: Other) => {
    const to = side === "nearby" ? "this car" : "nearby";
    const rest = job.moved.filter((one) => one.identity !== identity);
    void card.save(
      { moved: [...rest, { identity, to }] },
      `${identity} is ${to === "nearby" ? "a neighbour's" : "this car's"}`,
    );
  };
  return (
    <List
      label={label}
      items={others}
      keyOf={({ identity }) => identity}
      empty={{
        says: "No other sensor was heard on this visit.",
        action: { label: "Is it sending?", href: "/sending" },
      }}
    >
      {(other) => (
        <div class="other">
          <Identity value={other.identity} />
          <span>
            {inLine(frequencyShown(other.carrierHz))}
            {other.gaugeKpa === null ? "" : `, ${inLine(pressureShown(other.gaugeKpa, pressure))}`}
            {other.snrDb === null ? "" : `, ${Math.round(other.snrDb)} dB over the noise`}, read as {other.layout};{" "}
            {other.because}
          </span>
          <button type="button" class="button" disabled={card.saving} onClick={() => move(other)}>
            {other.side === "nearby" ? "It is this car's" : "It is a neighbour's"}
            <span class="heard-only">: {other.identity}</span>
          </button>
          {other.side === "this car" &&
            empty.map(({ position }) => (
              <button
                key={position}
                type="button"
                class="button"
                disabled={card.saving}
                onClick={() =>
                  void card.save(
                    { wheels: withSensor(job.wheels, position, other.identity) },
                    `${other.identity} is on the ${position}.`,
                  )
                }
              >
                Put on {position}
              </button>
            ))}
        </div>
      )}
    </List>
  );
}
