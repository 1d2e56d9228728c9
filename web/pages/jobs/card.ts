import { useCallback, useRef, useState } from "preact/hooks";
import type { JobBody, JobChangeBody } from "../../../server/http/wire.ts";
import type { Answer, Problem } from "../../api.ts";
import { changeJob, job as jobOf, wakeWheel } from "../../calls/jobs.ts";
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
  readonly done: { readonly says: string; readonly undo: (now: JobBody) => JobChangeBody } | undefined;
  /**
   * Writes one change after the other.
   *
   * @param change What to write; as a function, of the card as it is when its turn has come.
   * @param base The card that the change was made on; without it the one that is shown.
   */
  readonly save: (
    change: JobChangeBody | ((now: JobBody) => JobChangeBody),
    says: string,
    base?: JobBody,
  ) => Promise<Saved>;
  /** Marks that a wheel is woken now; never in conflict with another tablet's. */
  readonly wake: (position: string) => Promise<void>;
  readonly undo: () => void;
  /** Lets go of what could be undone, and asks anew. */
  readonly forget: () => void;
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
  // The newest card that this page has seen, also between two drawings.
  const newest = useRef<JobBody | undefined>(undefined);
  if (current && (newest.current?.id !== current.id || newest.current.revision <= current.revision))
    newest.current = current;
  const turn = useRef<Promise<unknown>>(Promise.resolve());
  const put = (job: JobBody) => {
    newest.current = job;
    loaded.put(job);
  };
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
    const first = await changeJob(id, base.revision, { ...change, says: says.slice(0, MOST_SAYS) });
    const outcome = first.ok || first.problem.status !== 412 ? first : await meet(base, change, says);
    setSaving(false);
    if ("conflict" in outcome) {
      put(outcome.conflict.now);
      setConflict(outcome.conflict);
      setDone(undefined);
      return "conflict";
    }
    if (!outcome.ok) {
      setProblem(outcome.problem);
      return "failed";
    }
    put(outcome.value);
    setDone({ says, undo: () => backOf(change, base) });
    return "written";
  }

  return {
    loaded,
    saving,
    problem,
    conflict,
    done,
    save(change, says, base) {
      const mine = turn.current.then(() => {
        const now = newest.current;
        if (now === undefined) return "failed" as const;
        return write(base ?? now, typeof change === "function" ? change(now) : change, says);
      });
      turn.current = mine;
      return mine;
    },
    async wake(position) {
      setProblem(undefined);
      const answer = await wakeWheel(id, position);
      if (!answer.ok) {
        setProblem(answer.problem);
        return;
      }
      put(answer.value);
      const mine = answer.value.wakes.at(-1);
      setDone({
        says: `Woken: ${position}`,
        undo: (now) => ({
          wakes: now.wakes.filter(({ at, position: other }) => at !== mine?.at || other !== position),
        }),
      });
    },
    undo: () => {
      const now = newest.current;
      if (now && done) void write(now, done.undo(now), `Taken back: ${done.says.replace(/^(Taken back: )+/, "")}`);
    },
    forget() {
      setDone(undefined);
      newest.current = undefined;
      reload();
    },
    keepMine: () => {
      if (!conflict) return;
      setConflict(undefined);
      void write(conflict.now, conflict.change, "Yours is written.");
    },
    keepTheirs: () => setConflict(undefined),
  };
}

/** As long as the words of a change may be. */
const MOST_SAYS = 200;

/** Somebody else changed the card: where they wrote other entries both stand, else the person chooses. */
async function meet(
  base: JobBody,
  change: JobChangeBody,
  says: string,
): Promise<Answer<JobBody> | { readonly conflict: Conflict }> {
  const now = await jobOf(base.id);
  if (!now.ok) return now;
  if (contested(change, base, now.value).length > 0) return { conflict: { change, now: now.value } };
  const second = await changeJob(base.id, now.value.revision, { ...change, says: says.slice(0, MOST_SAYS) });
  return second.ok || second.problem.status !== 412 ? second : { conflict: { change, now: now.value } };
}

/** The change that puts back what a change takes away. */
function backOf(change: JobChangeBody, before: JobBody): JobChangeBody {
  return Object.fromEntries(Object.entries(before).filter(([key]) => key in change));
}
