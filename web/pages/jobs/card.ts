import { useCallback, useState } from "preact/hooks";
import type { JobBody, JobChangeBody } from "../../../server/http/wire.ts";
import type { Answer, Problem } from "../../api.ts";
import { changeJob, job as jobOf } from "../../calls/jobs.ts";
import { useLive, useLiveReload } from "../../live.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";
import { contested } from "../../model/jobChange.ts";

/** A change that met a card that somebody else had changed: both stay until the person chooses. */
export interface Conflict {
  readonly change: JobChangeBody;
  readonly now: JobBody;
}

/** `conflict`: the change is held until the person has chosen. */
export type Saved = "written" | "conflict" | "failed";

/** A job card on the page, and the ways to change it. */
export interface Card {
  readonly loaded: Loaded<JobBody>;
  readonly saving: boolean;
  readonly problem: Problem | undefined;
  readonly conflict: Conflict | undefined;
  /** What the last change was, and the one that takes it back. */
  readonly done: { readonly says: string; readonly undo: JobChangeBody } | undefined;
  /** @param base The card that the change was made on; without it the one that is shown. */
  readonly save: (change: JobChangeBody, says: string, base?: JobBody) => Promise<Saved>;
  readonly undo: () => void;
  /** Writes the change over what the other had written. */
  readonly keepMine: () => void;
  readonly keepTheirs: () => void;
}

export function useCard(id: string): Card {
  const loaded = useLoaded(`job ${id}`, () => jobOf(id));
  const [saving, setSaving] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const [conflict, setConflict] = useState<Conflict>();
  const [done, setDone] = useState<Card["done"]>();

  const { reload } = loaded;
  const current = loaded.state === "there" ? loaded.value : undefined;
  useLive(
    "job",
    useCallback(
      (changed) => {
        if (changed.id === id && changed.revision !== current?.revision) reload();
      },
      [id, current?.revision, reload],
    ),
  );
  // What was heard may belong to this visit; the server knows, and works the lines out.
  useLiveReload(["telegram", "burst", "recording", "snapshot"], reload);

  async function write(base: JobBody, change: JobChangeBody, says: string): Promise<Saved> {
    setSaving(true);
    setProblem(undefined);
    const first = await changeJob(id, base.revision, { ...change, says });
    const outcome = first.ok || first.problem.status !== 412 ? first : await meet(base, change, says);
    setSaving(false);
    if ("conflict" in outcome) {
      loaded.put(outcome.conflict.now);
      setConflict(outcome.conflict);
      setDone(undefined);
      return "conflict";
    }
    if (!outcome.ok) {
      setProblem(outcome.problem);
      return "failed";
    }
    loaded.put(outcome.value);
    setConflict(undefined);
    setDone({ says, undo: backOf(change, base) });
    return "written";
  }

  return {
    loaded,
    saving,
    problem,
    conflict,
    done,
    save: (change, says, base = current) =>
      base === undefined ? Promise.resolve<Saved>("failed") : write(base, change, says),
    undo: () => {
      if (current && done) void write(current, done.undo, `Taken back: ${done.says}`);
    },
    keepMine: () => {
      if (conflict) void write(conflict.now, conflict.change, "Yours is written.");
    },
    keepTheirs: () => setConflict(undefined),
  };
}

/** Somebody else changed the card: where they wrote other entries both stand, else the person chooses. */
async function meet(
  base: JobBody,
  change: JobChangeBody,
  says: string,
): Promise<Answer<JobBody> | { readonly conflict: Conflict }> {
  const now = await jobOf(base.id);
  if (!now.ok) return now;
  if (contested(change, base, now.value).length > 0) return { conflict: { change, now: now.value } };
  const second = await changeJob(base.id, now.value.revision, { ...change, says });
  return second.ok || second.problem.status !== 412 ? second : { conflict: { change, now: now.value } };
}

/** The change that puts back what a change takes away. */
function backOf(change: JobChangeBody, before: JobBody): JobChangeBody {
  return Object.fromEntries(Object.entries(before).filter(([key]) => key in change));
}
