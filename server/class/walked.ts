import { emptyWheel } from "../jobs/jobCard.ts";
import { type WakeMark, type Walk, walkOf } from "../jobs/walk.ts";
import { identityIn, type Recorded } from "./recorded.ts";

/** The sensor that a wheel has by its newest wake, or in a word what came of that wake. */
export function wornAt(position: string, recorded: Recorded): string | undefined {
  const { answers } = walked(recorded);
  const newest = answers.findLast((answer) => answer.position === position);
  return newest && (newest.identity ?? newest.outcome);
}

/** The wheel that has a sensor; `undefined` where none has. */
export function wheelOf(identity: string, recorded: Recorded): string | undefined {
  return [...walked(recorded).identityAt].find(([, worn]) => worn === identity.toLowerCase())?.[0];
}

/** What the job card's walk makes of a recording: which sensor is in which wheel, by wakes and answers alone. */
function walked({ wakes, telegrams }: Recorded): Walk {
  const marks = wakes.flatMap(({ position, atSeconds }): WakeMark[] =>
    position === undefined ? [] : [{ position, at: timeOf(atSeconds), by: "receiver" }],
  );
  const positions = [...new Set(marks.map(({ position }) => position))];
  return walkOf(
    positions.map((position) => emptyWheel(position)),
    marks,
    telegrams.map((telegram, i) => ({
      id: String(i),
      revision: 1,
      at: timeOf(telegram.atSeconds),
      on: { recordingHash: "class" },
      identity: identityIn(telegram) ?? null,
      telegram,
    })),
  );
}

function timeOf(seconds: number): string {
  return new Date(1000 * seconds).toISOString();
}
