import type { JSX } from "preact";
import { sentence } from "../../../decoders/words.ts";
import type { JobBody, ReceiverBody, WheelLineBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { type PressureScale, pressureMarks, SENSOR_UNCERTAINTY_KPA } from "../../model/pressureScale.ts";
import { frequencyShown, pressureShown, temperatureShown } from "../../model/quantities.ts";
import { addressOf, wheelSlug } from "../../model/route.ts";
import { silenceOf } from "../../model/silence.ts";
import { Identity } from "../../views/Identity.tsx";
import { Mark } from "../../views/Mark.tsx";
import { PressureLine } from "../../views/PressureLine.tsx";
import { Quantity } from "../../views/Quantity.tsx";
import { ChooseSensor } from "./ChooseSensor.tsx";
import type { Card } from "./card.ts";

interface WheelRowProps {
  readonly line: WheelLineBody;
  readonly job: JobBody;
  readonly card: Card;
  readonly scale: PressureScale | undefined;
  readonly receivers: readonly ReceiverBody[];
  /** Whether its sensor is being chosen. */
  readonly choosing: boolean;
  readonly onChoose: (open: boolean) => void;
}

/** One wheel: who its sensor is, what it said, where that lies on the shared scale, and what to make of it. */
export function WheelRow({ line, job, card, scale, receivers, choosing, onChoose }: WheelRowProps): JSX.Element {
  const address = addressOf({ page: "wheel", id: job.id, wheel: wheelSlug(line.position) });
  return (
    <li class={`wheel-line ${line.state === "heard" ? "" : "wheel-line-silent"}`}>
      <h3 class="cell-position">
        <a href={address}>{sentence(line.position)}</a>
      </h3>
      <div class="cell-identity">
        {line.identity === null ? <span class="none">no sensor ID</span> : <Identity value={line.identity} />}
        <button type="button" class="button small" aria-expanded={choosing} onClick={() => onChoose(!choosing)}>
          {line.identity === null ? "Choose" : "Change"}
          <span class="heard-only"> the sensor of {line.position}</span>
        </button>
      </div>
      <Reading line={line} />
      <div class="cell-scale">{scale !== undefined && <PressureLine marks={pressureMarks(line, scale)} />}</div>
      <Finding line={line} job={job} receivers={receivers} />
      {choosing && <ChooseSensor job={job} card={card} position={line.position} onClose={() => onChoose(false)} />}
    </li>
  );
}

function Reading({ line }: { readonly line: WheelLineBody }): JSX.Element {
  const { pressure, temperature } = useSettings();
  const nothing = line.carrierHz === null && line.temperatureC === null && line.battery === null;
  return (
    <>
      <div class={nothing ? "cell-facts cell-facts-none" : "cell-facts"}>
        <div class="cell-frequency">
          {line.carrierHz === null ? <NotTold /> : <Quantity shown={frequencyShown(line.carrierHz)} />}
        </div>
        <div class="cell-temperature">
          {line.temperatureC === null ? (
            <NotTold />
          ) : (
            <Quantity shown={temperatureShown(line.temperatureC, temperature)} />
          )}
        </div>
        <div class="cell-battery">
          {line.battery === null ? (
            <NotTold />
          ) : (
            <>
              <span class="narrow-only">battery </span>
              {line.battery}
            </>
          )}
        </div>
      </div>
      <div class="cell-pressure">
        {line.gaugeKpa === null ? (
          <span class="none">{line.state}</span>
        ) : (
          <>
            <Quantity shown={pressureShown(line.gaugeKpa, pressure)} />
            <span class="band-words"> ± {pressureShown(SENSOR_UNCERTAINTY_KPA, pressure).figure}</span>
            {line.cold !== null && (
              <span class="band-words">
                {" "}
                cold {pressureShown(line.cold.gaugeKpa, pressure).figure} ±{" "}
                {pressureShown(line.cold.plusMinusKpa, pressure).figure}
              </span>
            )}
          </>
        )}
      </div>
    </>
  );
}

function NotTold(): JSX.Element {
  return (
    <span class="none">
      <span aria-hidden="true">–</span>
      <span class="heard-only">not told</span>
    </span>
  );
}

interface FindingProps {
  readonly line: WheelLineBody;
  readonly job: JobBody;
  readonly receivers: readonly ReceiverBody[];
}

function Finding({ line, job, receivers }: FindingProps): JSX.Element {
  if (line.state !== "not heard") {
    return (
      <div class="cell-finding">
        <FindingWords strength={line.strength} words={line.finding} />
      </div>
    );
  }
  const silence = silenceOf(line, {
    lines: job.lines,
    otherCount: job.others.length,
    recordingCount: job.recordingHashes.length,
    receivers,
    walk: job.walk,
  });
  return (
    <div class="cell-finding">
      <FindingWords strength={line.strength} words={silence.finding} />
      <dl class="silence">
        <dt>Could we have heard it?</dt>
        <dd>{silence.couldWeHaveHeardIt}</dd>
        <dt>Was it woken, and how?</dt>
        <dd>{silence.wasItWoken}</dd>
      </dl>
    </div>
  );
}

/** The strength as a mark, the words plain: a whole paragraph on a solid ground is hard to read. */
function FindingWords(props: { readonly strength: WheelLineBody["strength"]; readonly words: string }): JSX.Element {
  if (props.strength === "as expected") return <p>{props.words}</p>;
  return (
    <p>
      <Mark strength={props.strength} /> {props.words}
    </p>
  );
}
