import { useCallback, useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { changeJob, type Job, job as jobOf } from "../../calls/jobs.ts";
import { useLive } from "../../live.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";
import type { JobChange } from "../../model/jobChange.ts";

/** A change that met a card that somebody else had changed: both stay until the person chooses. */
export interface Conflict {
  readonly change: JobChange;
  readonly now: Job;
}

/** `conflict`: the change is held until the person has chosen. */
export type Saved = "written" | "conflict" | "failed";

/** A job card on the page, and the ways to change it. */
export interface Card {
  readonly loaded: Loaded<Job>;
  readonly saving: boolean;
  readonly problem: Problem | undefined;
  readonly conflict: Conflict | undefined;
  /** What the last change was, and the one that takes it back. */
  readonly done: { readonly says: string; readonly undo: JobChange } | undefined;
  readonly save: (change: JobChange, says: string) => Promise<Saved>;
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
  useLive("telegram", reload);
  useLive("snapshot", reload);

  async function write(base: Job, change: JobChange, says: string): Promise<Saved> {
    setSaving(true);
    setProblem(undefined);
    const answer = await changeJob(id, base.revision, change);
    const now = !answer.ok && answer.problem.status === 412 ? await jobOf(id) : answer;
    setSaving(false);
    if (!now.ok) {
      setProblem(now.problem);
      return "failed";
    }
    loaded.put(now.value);
    setConflict(answer.ok ? undefined : { change, now: now.value });
    setDone(answer.ok ? { says, undo: backOf(change, base) } : undefined);
    return answer.ok ? "written" : "conflict";
  }

  return {
    loaded,
    saving,
    problem,
    conflict,
    done,
    save: (change, says) => (current === undefined ? Promise.resolve("failed") : write(current, change, says)),
    undo: () => {
      if (current && done) void write(current, done.undo, "Taken back.");
    },
    keepMine: () => {
      if (conflict) void write(conflict.now, conflict.change, "Yours is written.");
    },
    keepTheirs: () => setConflict(undefined),
  };
}

/** The change that puts back what a change takes away. */
function backOf(change: JobChange, before: Job): JobChange {
  return Object.fromEntries(Object.entries(before).filter(([key]) => key in change));
}
