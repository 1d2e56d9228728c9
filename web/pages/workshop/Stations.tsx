import type { JSX } from "preact";
import type { WorkedOut } from "../../../decoders/workshop/workOut.ts";
import { QUESTIONS, STATIONS, type StationName, stateOf } from "../../model/workshop/stations.ts";

interface StationsProps {
  readonly worked: WorkedOut | undefined;
  readonly station: StationName;
  readonly onWalk: (to: StationName) => void;
  readonly isBehind: boolean;
}

/** The six stations in a row, each with what it has come to. */
export function Stations({ worked, station, onWalk, isBehind }: StationsProps): JSX.Element {
  return (
    <nav class="stations" aria-label="Stations">
      <ol>
        {STATIONS.map((one, i) => (
          <li key={one}>
            <a
              href={`?at=${one}`}
              aria-current={one === station ? "step" : undefined}
              onClick={(event) => {
                event.preventDefault();
                onWalk(one);
              }}
            >
              <span class="station-title">
                {i + 1} {QUESTIONS[one].title}
              </span>
              <span class="station-state">{worked ? stateOf(one, worked) : "…"}</span>
            </a>
          </li>
        ))}
      </ol>
      <p class="caption" role="status">
        {isBehind ? "Working it out anew …" : "Worked out."}
      </p>
    </nav>
  );
}
