import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { JobBody, WheelLineBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { identityTyped } from "../../model/identity.ts";
import { pressureInBox, pressureTyped } from "../../model/typed.ts";
import type { Saved } from "../../revised.ts";
import { TextField } from "../../views/Fields.tsx";
import { Identity } from "../../views/Identity.tsx";
import type { Card } from "./card.ts";

interface WheelWorkProps {
  readonly job: JobBody;
  readonly line: WheelLineBody;
  readonly card: Card;
}

type Wheel = JobBody["wheels"][number];

/** What hands do at one wheel: the gauge, the date on the sensor, a new sensor. */
export function WheelWork({ job, line, card }: WheelWorkProps): JSX.Element | null {
  const wheel = job.wheels.find(({ position }) => position === line.position);
  if (!wheel) return null;
  const put = (change: Partial<Wheel>, says: string) => {
    // Of the card as it is then: a box that is left writes just before the button that was pressed.
    return card.save(
      (now) => ({
        wheels: now.wheels.map((one) => (one.position === wheel.position ? { ...one, ...change } : one)),
      }),
      says,
    );
  };
  return (
    <section class="wheel-work" aria-labelledby="work">
      <h2 id="work">At this wheel</h2>
      <div class="edit-card-more">
        <HandGauge wheel={wheel} put={put} />
        <DateCode wheel={wheel} put={put} />
      </div>
      <Replace job={job} line={line} wheel={wheel} put={put} />
    </section>
  );
}

interface PartProps {
  readonly wheel: Wheel;
  readonly put: (change: Partial<Wheel>, says: string) => Promise<Saved>;
}

function HandGauge({ wheel, put }: PartProps): JSX.Element {
  const { pressure } = useSettings();
  const stored = pressureInBox(wheel.handGaugeKpa, pressure);
  const [text, setText] = useState<string>();
  const typed = pressureTyped(text ?? stored, pressure, 0, 2000, "The hand gauge");
  const write = () => {
    if (text === undefined || text === stored || !typed.ok) return;
    void put({ handGaugeKpa: typed.value }, `Hand gauge at the ${wheel.position}: ${text || "nothing"}`).then(
      (saved) => {
        if (saved === "written") setText(undefined);
      },
    );
  };
  return (
    <TextField
      label="Hand gauge"
      unit={pressure}
      numeric
      value={text ?? stored}
      wrong={typed.ok ? undefined : typed.says}
      onInput={setText}
      onLeave={write}
    />
  );
}

function DateCode({ wheel, put }: PartProps): JSX.Element {
  const [text, setText] = useState<string>();
  const write = () => {
    if (text === undefined || text === wheel.dateCode) return;
    void put({ dateCode: text.trim() }, `Date code at the ${wheel.position}`).then((saved) => {
      if (saved === "written") setText(undefined);
    });
  };
  return (
    <TextField
      label="Date on the sensor, if it could be read"
      maxLength={40}
      value={text ?? wheel.dateCode}
      onInput={setText}
      onLeave={write}
    />
  );
}

function Replace({ job, line, wheel, put }: ReplaceProps): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  const [text, setText] = useState("");
  const [copied, setCopied] = useState(false);
  const [blank, setBlank] = useState(false);
  const { replaced } = wheel;
  const identity = copied ? line.identity : identityTyped(text);
  const isHex = identity === null || /^[0-9a-f]+$/.test(identity);
  const twin = job.lines.find((other) => other.position !== line.position && other.identity === identity);
  const heard = job.others.filter(({ side }) => side === "this car");

  const write = () => {
    const entry = { oldIdentity: line.identity, blank, copied, at: "now" };
    void put({ identity, replaced: entry, dateCode: "" }, `New sensor at the ${wheel.position}`).then((saved) => {
      if (saved === "written") setOpen(false);
    });
  };

  if (replaced) {
    return (
      <div class="replaced">
        <h3>New sensor at this visit</h3>
        <p>
          Before: {replaced.oldIdentity === null ? "not known" : <Identity value={replaced.oldIdentity} />}. Now:{" "}
          {line.identity === null ? "not known yet" : <Identity value={line.identity} />}.
        </p>
        {replaced.copied && (
          <p>
            Its ID was copied from the old one on purpose: the vehicle often needs no relearn. Keep the old one out of
            reach, two with one ID are told apart by nobody.
          </p>
        )}
        {replaced.blank && (
          <p>
            It is a blank that is not programmed yet: it stays silent for the vehicle until it has a layout and an ID.
          </p>
        )}
        {!replaced.copied && <p>A new ID has to be registered with the vehicle, by the maker's procedure.</p>}
        <p class="form-foot">
          {replaced.blank && (
            <button
              type="button"
              class="button"
              onClick={() =>
                void put({ replaced: { ...replaced, blank: false } }, `Blank at the ${wheel.position} programmed`)
              }
            >
              It is programmed now
            </button>
          )}
          <button
            type="button"
            class="button"
            onClick={() =>
              void put({ replaced: null, identity: replaced.oldIdentity }, `No new sensor at the ${wheel.position}`)
            }
          >
            No new sensor here
          </button>
        </p>
      </div>
    );
  }
  if (!isOpen) {
    return (
      <p>
        <button type="button" class="button" onClick={() => setOpen(true)}>
          A new sensor goes in
        </button>
      </p>
    );
  }
  return (
    <fieldset class="choose">
      <legend>New sensor at the {wheel.position}</legend>
      <p class="caution">
        Bead breaker away from the sensor. Nut torque and service kit are the part maker's, never a general figure. Do
        not open the cell.
      </p>
      {heard.map(({ identity: one }) => (
        <button key={one} type="button" class="button" onClick={() => setText(one)}>
          Heard on no wheel: <Identity value={one} />
        </button>
      ))}
      <TextField
        label="ID of the new one, from its label or as heard"
        fixedWidth
        maxLength={24}
        value={copied ? (line.identity ?? "") : text}
        onInput={setText}
        wrong={
          isHex ? undefined : "A sensor ID has the digits 0 to 9 and the letters a to f. Compare it with the label."
        }
      />
      {twin && !copied && (
        <p class="wrong">
          {twin.position} has this ID already: two wheels with one ID are told apart by nobody. Correct one of them.
        </p>
      )}
      <label class="check">
        <input type="checkbox" checked={copied} onChange={(event) => setCopied(event.currentTarget.checked)} />
        <span>The old ID was copied onto it on purpose</span>
      </label>
      <label class="check">
        <input type="checkbox" checked={blank} onChange={(event) => setBlank(event.currentTarget.checked)} />
        <span>A programmable blank, not programmed yet</span>
      </label>
      <p class="form-foot">
        <button type="button" class="button main" disabled={!isHex || (identity === null && !blank)} onClick={write}>
          Write it down
        </button>
        <button type="button" class="button" onClick={() => setOpen(false)}>
          Not yet
        </button>
      </p>
    </fieldset>
  );
}

interface ReplaceProps extends PartProps {
  readonly job: JobBody;
  readonly line: WheelLineBody;
}
