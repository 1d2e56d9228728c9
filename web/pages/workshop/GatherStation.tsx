import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { SheetBurst } from "../../../decoders/workshop/worksheet.ts";
import { counted, figure } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";
import { Table } from "../../views/Table.tsx";
import { BringIn } from "./BringIn.tsx";
import type { StationProps } from "./StationSheet.tsx";

/** What was told of one group is not so of another. */
const NOTHING_TOLD = { lineCode: null, named: [], check: null, anchors: [] } as const;
/** Bursts shown at once; more would be long to read and slow to draw. */
const MOST_SHOWN = 40;

export function GatherStation({ here, sheet, worked }: StationProps): JSX.Element {
  const { worksheet } = sheet;
  const { now } = worksheet;
  const [shown, setShown] = useState(MOST_SHOWN);
  const inGroup = new Map(worked.groups.flatMap(({ bursts }, i) => bursts.map((id) => [id, i] as const)));
  const apart = new Map(worked.apart.map(({ id, because }) => [id, because]));
  const bursts = worksheet.bursts.filter(({ source }) => now.sources.includes(source));
  const placeOf = ({ id }: SheetBurst) => {
    if (now.leftOut.includes(id)) return "left out";
    const group = inGroup.get(id);
    if (group !== undefined) return worked.groups[group]?.chosen ? "in the group" : `group ${group + 1}`;
    return apart.get(id) ?? "not looked at yet";
  };
  return (
    <>
      <BringIn here={here} sheet={sheet} />
      {now.sources.length > 0 && (
        <section aria-labelledby="sources">
          <h3 id="sources">Where they come from</h3>
          <Table
            caption="What was brought in"
            rows={worksheet.sources.filter(({ id }) => now.sources.includes(id))}
            keyOf={({ id }) => id}
            empty={{ says: "Nothing was brought in.", action: { label: "See the recordings", href: "/recordings" } }}
            columns={[
              { name: "Source", cell: ({ name }) => name },
              { name: "Cut", cell: ({ cutTogether }) => (cutTogether ? "together" : "each burst by its own clock") },
              {
                name: "Bursts that nothing reads",
                figures: true,
                cell: ({ id }) => String(worksheet.bursts.filter(({ source }) => source === id).length),
              },
              {
                name: "",
                cell: ({ id, name }) => (
                  <button
                    type="button"
                    class="button small"
                    disabled={here.busy}
                    onClick={() =>
                      here.decide(`Took out ${name}`, { sources: now.sources.filter((source) => source !== id) })
                    }
                  >
                    Take out
                  </button>
                ),
              },
            ]}
          />
        </section>
      )}
      {worked.groups.length > 0 && (
        <section aria-labelledby="groups">
          <h3 id="groups">Groups, by carrier, keying, rate, length and beginning</h3>
          <Table
            caption="The largest first"
            rows={worked.groups.map((group, i) => ({ ...group, number: i + 1 }))}
            keyOf={({ number }) => String(number)}
            empty={{
              says: "No three bursts belong together.",
              action: { label: "See the recordings", href: "/recordings" },
            }}
            columns={[
              { name: "No.", figures: true, cell: ({ number }) => String(number) },
              { name: "Bursts", figures: true, cell: (group) => String(group.bursts.length) },
              { name: "Carrier", cell: ({ carrierHz }) => `${figure(carrierHz / 1e6, 3)} MHz` },
              {
                name: "Keying",
                cell: ({ modulation, deviationHz }) =>
                  deviationHz === null ? modulation.toUpperCase() : `FSK ± ${figure(deviationHz / 1000, 1)} kHz`,
              },
              { name: "Symbols/s", figures: true, cell: ({ symbolRate }) => symbolRate.toFixed(0) },
              { name: "Length", figures: true, cell: ({ symbolCount }) => counted(symbolCount, "symbol") },
              {
                name: "",
                cell: ({ chosen, number, bursts: members }) =>
                  chosen ? (
                    "worked on"
                  ) : (
                    <button
                      type="button"
                      class="button small"
                      disabled={here.busy}
                      onClick={() =>
                        here.decide(`Took up group ${number}`, {
                          ...NOTHING_TOLD,
                          group: members[0] ?? null,
                        })
                      }
                    >
                      Work on this group
                    </button>
                  ),
              },
            ]}
          />
        </section>
      )}
      {bursts.length > 0 && (
        <details>
          <summary>Every burst ({bursts.length})</summary>
          <Table
            caption="None is dropped: what stands apart says why"
            rows={bursts.slice(0, shown)}
            keyOf={({ id }) => id}
            empty={{ says: "No burst.", action: { label: "See the recordings", href: "/recordings" } }}
            columns={[
              {
                name: "Heard",
                cell: ({ atSeconds, recording, id }) =>
                  recording === null ? (
                    whenWords(atSeconds)
                  ) : (
                    <a href={`/recordings/${recording.hash}?sel=frame.${recording.index}`} title={id}>
                      {whenWords(atSeconds)}
                    </a>
                  ),
              },
              { name: "Carrier", cell: ({ carrierHz }) => `${figure(carrierHz / 1e6, 3)} MHz` },
              { name: "Symbols/s", figures: true, cell: ({ symbolRate }) => symbolRate.toFixed(0) },
              { name: "Symbols", figures: true, cell: ({ symbolCount }) => String(symbolCount) },
              { name: "Where it is", cell: placeOf },
              {
                name: "",
                cell: ({ id }) => {
                  const isOut = now.leftOut.includes(id);
                  const leftOut = isOut ? now.leftOut.filter((one) => one !== id) : [...now.leftOut, id];
                  return (
                    <button
                      type="button"
                      class="button small"
                      disabled={here.busy}
                      onClick={() => here.decide(`${isOut ? "Took in" : "Left out"} burst ${id}`, { leftOut })}
                    >
                      {isOut ? "Take it in" : "Leave it out"}
                    </button>
                  );
                },
              },
            ]}
          />
          {bursts.length > shown && (
            <p>
              <button type="button" class="button" onClick={() => setShown(shown + 10 * MOST_SHOWN)}>
                Show more bursts
              </button>{" "}
              <span class="caption">{counted(bursts.length - shown, "burst")} not shown.</span>
            </p>
          )}
        </details>
      )}
    </>
  );
}

function whenWords(atSeconds: number): string {
  if (atSeconds < 1e8) return `at ${figure(atSeconds, 3)} s`;
  return `${timeShown(new Date(1000 * atSeconds).toISOString())}, ${figure(atSeconds % 60, 3)} s`;
}
