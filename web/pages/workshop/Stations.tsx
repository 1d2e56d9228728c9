import type { JSX } from "preact";
import type { WorkedOut } from "../../../decoders/workshop/workOut.ts";
import { QUESTIONS, STATIONS, type StationName, stateOf } from "../../model/workshop/stations.ts";
import { StepsRow } from "../../views/StepsRow.tsx";

interface StationsProps {
  readonly worked: WorkedOut | undefined;
  readonly station: StationName;
  readonly onWalk: (to: StationName) => void;
  readonly isBehind: boolean;
}

/** The six stations in a row, each with what it has come to. */
export function Stations({ worked, station, onWalk, isBehind }: StationsProps): JSX.Element {
  return (
    <div class="stations">
      <StepsRow
        label="Stations"
        steps={STATIONS.map((name) => ({
          name,
          title: QUESTIONS[name].title,
          state: worked ? stateOf(name, worked) : "…",
        }))}
        at={station}
        onWalk={onWalk}
      />
      <p class="caption" role="status">
        {isBehind ? "Working it out anew …" : "Worked out."}
      </p>
    </div>
  );
}
