import type { JobBody, JobChangeBody } from "../../../server/http/wire.ts";
import { changeJob, job as jobOf, wakeWheel } from "../../calls/jobs.ts";
import { contested } from "../../model/jobChange.ts";
import { type Revised, useRevised } from "../../revised.ts";

/** A job card on the page, and the ways to change it. */
export interface Card extends Revised<JobBody, JobChangeBody> {
  /** Marks that a wheel is woken now; never in conflict with another tablet's. */
  readonly wake: (position: string) => Promise<void>;
}

export function useCard(id: string): Card {
  const card = useRevised<JobBody, JobChangeBody>({
    key: `job ${id}`,
    id,
    ask: () => jobOf(id),
    write: (revision, change, says) => changeJob(id, revision, { ...change, says }),
    rebased: (change, base, now) => ({ change, contested: contested(change, base, now) }),
    event: "job",
    follows: ["telegram", "burst", "recording", "snapshot"],
  });
  return {
    ...card,
    async wake(position) {
      await card.run(
        () => wakeWheel(id, position),
        (after) => {
          const mine = after.wakes.at(-1);
          return {
            says: `Woken: ${position}`,
            undo: (now) => ({
              wakes: now.wakes.filter(({ at, position: other }) => at !== mine?.at || other !== position),
            }),
          };
        },
      );
    },
  };
}
