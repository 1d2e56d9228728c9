import type { JSX } from "preact";
import { chanceWords } from "../../model/workshop/chanceWords.ts";
import { Table } from "../../views/Table.tsx";
import type { FramesProps } from "./LineUpStation.tsx";

export function CheckStation({ here, sheet, frames }: FramesProps): JSX.Element {
  const { check } = sheet.worksheet.now;
  const busy = here.busy || here.isBehind;
  return (
    <>
      <p class="caption">
        The chance is that frames without any check would bear one as well, after all checks, places and ranges that
        were tried.
      </p>
      <Table
        caption="What the frames bear, the likeliest first"
        rows={frames.checks.map((one, i) => ({ ...one, rank: i + 1 }))}
        keyOf={({ rank }) => String(rank)}
        empty={{
          says: "No check was found so far. More telegrams that differ tell most.",
          action: { label: "Gather more bursts", href: "?at=gather" },
        }}
        columns={[
          { name: "Rank", figures: true, cell: ({ rank }) => String(rank) },
          { name: "Check", cell: ({ says }) => says },
          { name: "By accident", cell: ({ evidenceBits }) => chanceWords(evidenceBits) },
          {
            name: "",
            cell: ({ check: own, taken, rank }) =>
              taken ? (
                "taken"
              ) : (
                <button
                  type="button"
                  class="button small"
                  disabled={busy}
                  onClick={() => here.decide(`Took check ${rank}`, { ...frames.told, check: own })}
                >
                  Take this check
                </button>
              ),
          },
        ]}
      />
      <p class="form-foot">
        {check !== "none" && frames.checks.length > 0 && (
          <button
            type="button"
            class="button"
            disabled={busy}
            onClick={() => here.decide("Took no check", { check: "none" })}
          >
            It has no check
          </button>
        )}
        {check !== null && (
          <button
            type="button"
            class="button"
            disabled={busy}
            onClick={() => here.decide("Left the check to the likeliest", { check: null })}
          >
            Leave it to the likeliest
          </button>
        )}
      </p>
    </>
  );
}
