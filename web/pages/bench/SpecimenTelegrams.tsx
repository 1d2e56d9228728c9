import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LotBody, SpecimenMoreBody } from "../../../server/http/wire/lots.ts";
import { useSettings } from "../../device.ts";
import { setPointWords } from "../../model/bench/lotWords.ts";
import { counted, frequencyShown, inLine, pressureShown, temperatureShown } from "../../model/quantities.ts";
import { clockWithSeconds } from "../../model/times.ts";
import { Table } from "../../views/Table.tsx";

interface TelegramsProps {
  readonly telegrams: SpecimenMoreBody["telegrams"];
  readonly lot: LotBody;
}

/** Shown at once; more would be long to read and slow to draw. */
const MOST_SHOWN = 40;

/** Everything that it said, with the way to the samples where they are kept. */
export function SpecimenTelegrams({ telegrams, lot }: TelegramsProps): JSX.Element {
  const { pressure, temperature } = useSettings();
  const [shown, setShown] = useState(MOST_SHOWN);
  const rows = telegrams.toSorted((a, b) => (a.at < b.at ? 1 : -1));
  const fillWords = (id: string | null) => {
    if (id === null) return "no";
    const fill = lot.workedFills.find((one) => one.id === id);
    const point = fill?.setPoint == null ? undefined : lot.setPoints[fill.setPoint];
    return point ? setPointWords(point, pressure) : "no set point";
  };
  return (
    <section aria-labelledby="specimen-telegrams">
      <h2 id="specimen-telegrams">What it said</h2>
      <Table
        caption={`${counted(rows.length, "telegram")}, the newest first`}
        rows={rows.slice(0, shown).map((one, i) => ({ ...one, i }))}
        keyOf={({ at, i }) => `${at} ${i}`}
        empty={{
          says: "It said nothing that could be read.",
          action: { label: "Back to the lot", href: `/bench/${lot.id}?at=register` },
        }}
        columns={[
          {
            name: "At",
            cell: ({ at, recording }) =>
              recording === null ? (
                clockWithSeconds(at)
              ) : (
                <a href={`/recordings/${recording.hash}?v=1&sel=frame.${recording.index}`}>{clockWithSeconds(at)}</a>
              ),
          },
          {
            name: "Pressure",
            figures: true,
            cell: ({ kpa }) => (kpa === null ? "–" : inLine(pressureShown(kpa, pressure))),
          },
          {
            name: "Temperature",
            figures: true,
            cell: ({ temperatureC }) =>
              temperatureC === null ? "–" : inLine(temperatureShown(temperatureC, temperature)),
          },
          { name: "Frequency", figures: true, cell: ({ carrierHz }) => inLine(frequencyShown(carrierHz, 4)) },
          { name: "Counts for", cell: ({ fill }) => fillWords(fill) },
        ]}
      />
      {rows.length > shown && (
        <p>
          <button type="button" class="button" onClick={() => setShown(shown + 10 * MOST_SHOWN)}>
            Show more of them
          </button>{" "}
          <span class="caption">{counted(rows.length - shown, "telegram")} not shown.</span>
        </p>
      )}
    </section>
  );
}
