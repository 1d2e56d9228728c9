import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import type { CurveBody, JobBody } from "../../../server/http/wire.ts";
import { curvesOf as askCurves } from "../../calls/jobs.ts";
import { useSettings } from "../../device.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { curvesOf, MOST_CURVES } from "../../model/curves.ts";
import { inLine, pressureShown, temperatureShown } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";
import { CurvesView } from "../../views/CurvesView.tsx";
import { Choice } from "../../views/Fields.tsx";
import { Table } from "../../views/Table.tsx";
import { Waiting } from "../../views/Waiting.tsx";

/** Pressure or temperature of any wheels over time, laid over each other. Folded, and asked for only when opened. */
export function JobCurves({ job }: { readonly job: JobBody }): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  return (
    <details class="job-curves" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Curves: pressure and temperature over time</summary>
      {isOpen && <Loading job={job} />}
    </details>
  );
}

function Loading({ job }: { readonly job: JobBody }): JSX.Element {
  const loaded = useLoaded(`curves ${job.id}`, () => askCurves(job.id));
  useLiveReload(["telegram", "snapshot"], loaded.reload);
  return (
    <Waiting loaded={loaded} what="the curves">
      {(curves) => <Chosen job={job} all={curves} />}
    </Waiting>
  );
}

function Chosen({ job, all }: { readonly job: JobBody; readonly all: readonly CurveBody[] }): JSX.Element {
  const { pressure, temperature } = useSettings();
  const [quantity, setQuantity] = useState<"pressure" | "temperature">("pressure");
  const [span, setSpan] = useState<"visit" | "all">("all");
  const [off, setOff] = useState<readonly string[]>([]);
  const on = all.filter(({ position }) => !off.includes(position));
  const from = span === "visit" ? job.createdAt : undefined;
  const drawn = curvesOf(on, { quantity, pressure, temperature, from });
  const shown = (point: CurveBody["points"][number]) => {
    if (quantity === "pressure")
      return point.gaugeKpa === null ? "not told" : inLine(pressureShown(point.gaugeKpa, pressure));
    return point.temperatureC === null ? "not told" : inLine(temperatureShown(point.temperatureC, temperature));
  };
  const rows = on
    .flatMap(({ position, points }) => points.map((point) => ({ position, point })))
    .filter(({ point }) => from === undefined || point.at >= from)
    .toSorted((a, b) => (a.point.at < b.point.at ? 1 : -1))
    .slice(0, 200);
  return (
    <>
      <div class="choices">
        <Choice
          legend="What"
          value={quantity}
          options={[
            ["pressure", "Pressure"],
            ["temperature", "Temperature"],
          ]}
          onChange={setQuantity}
        />
        <Choice
          legend="When"
          value={span}
          options={[
            ["all", "This visit and earlier ones"],
            ["visit", "Since this card was made"],
          ]}
          onChange={setSpan}
        />
        <fieldset class="choice">
          <legend>Wheels, at most {MOST_CURVES} at once</legend>
          {all.map(({ position }) => (
            <label key={position}>
              <input
                type="checkbox"
                checked={!off.includes(position)}
                onChange={() =>
                  setOff(off.includes(position) ? off.filter((one) => one !== position) : [...off, position])
                }
              />
              <span>{sentence(position)}</span>
            </label>
          ))}
        </fieldset>
      </div>
      {drawn === undefined ? (
        <p>Nothing to draw: no sensor of these wheels told a {quantity} in this time.</p>
      ) : (
        <>
          <p class="caption">
            {sentence(quantity)} in {drawn.unit}, as read.{" "}
            {drawn.curves.map(({ position, ink }) => `${"ABCDE"[ink]} ${position}`).join(", ")}. A pause of more than
            ten minutes is left open.
          </p>
          <CurvesView curves={drawn} label={`${sentence(quantity)} over time; the table has the figures`} />
        </>
      )}
      <details>
        <summary>As a table</summary>
        <Table
          caption="Readings, newest first, at most 200"
          rows={rows}
          keyOf={({ position, point }) => `${position} ${point.at}`}
          empty={{
            says: "No reading in this time.",
            action: { label: "Show all", onClick: () => setSpan("all") },
          }}
          columns={[
            { name: "When", cell: ({ point }) => timeShown(point.at) },
            { name: "Wheel", cell: ({ position }) => position },
            { name: sentence(quantity), figures: true, cell: ({ point }) => shown(point) },
          ]}
        />
      </details>
    </>
  );
}
