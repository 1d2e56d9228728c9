import type { JSX } from "preact";
import { pressureIn } from "../../../decoders/units.ts";
import type { StoredTelegramBody } from "../../../server/http/wire.ts";
import { telegramsOf } from "../../calls/jobs.ts";
import { useSettings } from "../../device.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { dotStrip } from "../../model/dotStrip.ts";
import { historyWords, pressureReadings } from "../../model/history.ts";
import { figure, inLine, pressureShown } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";
import { DotStripView } from "../../views/DotStripView.tsx";
import { Empty } from "../../views/Empty.tsx";
import { Table } from "../../views/Table.tsx";
import { Waiting } from "../../views/Waiting.tsx";

/** All that is kept of one sensor: telegrams, not copies, so that a chatty one does not look healthy. */
export function SensorHistory({ identity }: { readonly identity: string }): JSX.Element {
  const loaded = useLoaded(`telegrams ${identity}`, () => telegramsOf(identity));
  useLiveReload(["telegram", "snapshot"], loaded.reload);
  return (
    <section aria-labelledby="history">
      <Waiting loaded={loaded} what="what it said before">
        {(telegrams) => <History telegrams={telegrams} />}
      </Waiting>
    </section>
  );
}

function History({ telegrams }: { readonly telegrams: readonly StoredTelegramBody[] }): JSX.Element {
  const { pressure } = useSettings();
  const readings = pressureReadings(telegrams);
  const first = readings[0];
  const decimals = pressure === "bar" ? 2 : 0;
  const strip =
    first &&
    dotStrip(
      readings.map(({ at, gaugeKpa }) => ({
        at,
        value: pressureIn(pressure, gaugeKpa),
        title: `${timeShown(at)}: ${inLine(pressureShown(gaugeKpa, pressure))}`,
      })),
      (value) => `${figure(value, decimals)} ${pressure}`,
    );
  return (
    <>
      <h2 id="history">{historyWords(telegrams)}</h2>
      {strip === undefined ? (
        <Empty
          says="None of its telegrams told a gauge pressure, so there is nothing to draw."
          action={{ label: "Is it sending?", href: "/sending" }}
        />
      ) : (
        <DotStripView
          strip={strip}
          label={`Gauge pressure over time, ${readings.length} readings; the table has them`}
        />
      )}
      <details>
        <summary>As a table</summary>
        <Table
          caption="Its telegrams, newest first"
          rows={telegrams}
          keyOf={({ id }) => id}
          empty={{
            says: "No telegram of this sensor is kept.",
            action: { label: "Is it sending?", href: "/sending" },
          }}
          columns={[
            { name: "When", cell: ({ at }) => timeShown(at) },
            {
              name: "Gauge pressure",
              figures: true,
              cell: (one) => {
                const reading = pressureReadings([one])[0];
                return reading ? inLine(pressureShown(reading.gaugeKpa, pressure)) : "not told";
              },
            },
            { name: "Copies", figures: true, cell: ({ telegram }) => telegram.repeats.length },
            { name: "Verified", cell: ({ telegram }) => (telegram.verified ? "yes" : "no") },
          ]}
        />
      </details>
    </>
  );
}
