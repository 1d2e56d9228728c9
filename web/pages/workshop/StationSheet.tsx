import type { JSX } from "preact";
import type { StoredSheet, WorkedSheet } from "../../calls/worksheets.ts";
import { QUESTIONS, type StationName, saysOf } from "../../model/workshop/stations.ts";
import { Empty } from "../../views/Empty.tsx";
import { CheckStation } from "./CheckStation.tsx";
import { GatherStation } from "./GatherStation.tsx";
import { LineUpStation } from "./LineUpStation.tsx";
import { MovesStation } from "./MovesStation.tsx";
import { NameStation } from "./NameStation.tsx";
import { ProveStation } from "./ProveStation.tsx";
import type { SheetHere } from "./useWorksheet.ts";

/** What every station is given. */
export interface StationProps {
  readonly here: SheetHere;
  readonly sheet: StoredSheet;
  readonly worked: WorkedSheet;
}

/** One station: its question, what was found, and what can be decided there. */
export function StationSheet({ station, ...given }: StationProps & { readonly station: StationName }): JSX.Element {
  const { title, asks } = QUESTIONS[station];
  const says = saysOf(station, given.worked).slice(0, untold(station, given.worked));
  return (
    <section
      class={given.here.isBehind ? "station station-behind" : "station"}
      aria-labelledby="station"
      aria-busy={given.here.isBehind}
    >
      <h2 id="station" tabIndex={-1}>
        {title}: {asks}
      </h2>
      {says.length > 0 && (
        <ul class="list station-says" aria-label="What was found">
          {says.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      )}
      {station === "gather" ? <GatherStation {...given} /> : <Later station={station} given={given} />}
    </section>
  );
}

/** How many of the sentences do not stand below them anyway: checks in their table, doubts in their list. */
function untold(station: StationName, { frames }: WorkedSheet): number {
  if (station === "check" && frames && frames.checks.length > 0) return 0;
  return station === "prove" && frames && frames.proof.doubts.length > 0 ? 1 : Number.POSITIVE_INFINITY;
}

function Later({ station, given }: { readonly station: StationName; readonly given: StationProps }): JSX.Element {
  const { frames } = given.worked;
  if (!frames) {
    return (
      <Empty
        says="Not reached: no three bursts belong together yet."
        action={{ label: "Gather more bursts", href: "?at=gather" }}
      />
    );
  }
  switch (station) {
    case "line-up":
      return <LineUpStation {...given} frames={frames} />;
    case "what-moves":
      return <MovesStation {...given} frames={frames} />;
    case "name":
      return <NameStation {...given} frames={frames} />;
    case "check":
      return <CheckStation {...given} frames={frames} />;
    default:
      return <ProveStation {...given} frames={frames} />;
  }
}
