import type { JobBody, JobChangeBody } from "../../../server/http/wire.ts";
import { type Autosave, type Drafted, useAutosave } from "../../autosave.ts";
import { changedEntries, type DraftKey, draftOf, JOB_BOXES } from "../../model/draft.ts";
import { entryNames } from "../../model/jobChange.ts";
import type { Card } from "./card.ts";

/** Boxes of a job card that save themselves. */
export type JobAutosave = Autosave<DraftKey>;

const DRAFTED: Drafted<JobBody, JobChangeBody, DraftKey> = {
  boxes: JOB_BOXES,
  stored: draftOf,
  changed: changedEntries,
  names: entryNames,
  nameOf: (key) => entryNames({ [key]: "" }),
  keptAs: ({ id }) => id,
};

export function useJobAutosave(job: JobBody, card: Card): JobAutosave {
  return useAutosave(job, card, DRAFTED);
}
