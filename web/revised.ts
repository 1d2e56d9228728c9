import { useCallback, useRef, useState } from "preact/hooks";
import type { Answer, Problem } from "./api.ts";
import { useLive, useLiveReload } from "./live.ts";
import { type Loaded, useLoaded } from "./loaded.ts";
import type { LiveKind } from "./model/liveEvents.ts";

/** Something that several people may write on at once: each state of it has a number. */
export interface WithRevision {
  readonly id: string;
  readonly revision: number;
}

/** A change that met a state that somebody else had made: both stay until the person chooses. */
export interface Conflict<Body, Change> {
  readonly change: Change;
  readonly now: Body;
}

/** `conflict`: the change is held until the person has chosen. */
export type Saved = "written" | "conflict" | "failed";

/** How one kind of thing is asked for and written. */
export interface RevisedKind<Body extends WithRevision, Change extends object> {
  /** Names the thing, for what is loaded. */
  readonly key: string;
  readonly id: string;
  readonly ask: () => Promise<Answer<Body>>;
  /** A problem of status 412: somebody else changed it after that revision. */
  readonly write: (revision: number, change: Change, says: string) => Promise<Answer<Body>>;
  /** The change as it has to be on what somebody else has written since `base`, and what of it both wrote differently. */
  readonly rebased: (
    change: Change,
    base: Body,
    now: Body,
  ) => { readonly change: Change; readonly contested: readonly string[] };
  /** The event that tells of its changes. */
  readonly event: "job" | "lot";
  /** What else may change what the server makes of it. */
  readonly follows: readonly LiveKind[];
}

/** Something on the page that has revisions, and the ways to change it. */
export interface Revised<Body, Change> {
  readonly loaded: Loaded<Body>;
  readonly saving: boolean;
  readonly problem: Problem | undefined;
  readonly conflict: Conflict<Body, Change> | undefined;
  /** What the last change was, and the one that takes it back. */
  readonly done: { readonly says: string; readonly undo: (now: Body) => Change } | undefined;
  /**
   * Writes one change after the other.
   *
   * @param change What to write; as a function, of the thing as it is when its turn has come.
   * @param base What the change was made on; without it what is shown.
   */
  readonly save: (change: Change | ((now: Body) => Change), says: string, base?: Body) => Promise<Saved>;
  /**
   * Does something that the server takes at any revision, right after what is being written and never in conflict.
   *
   * @param undo Of what came of it, the change that takes it back, and its words.
   * @returns What came of it; `undefined` where it failed.
   */
  readonly run: (
    ask: () => Promise<Answer<Body>>,
    undo?: (after: Body) => Revised<Body, Change>["done"],
  ) => Promise<Body | undefined>;
  readonly undo: () => void;
  /** Lets go of what could be undone, and asks anew. */
  readonly forget: () => void;
  /** Writes the change over what the other had written. */
  readonly keepMine: () => void;
  readonly keepTheirs: () => void;
}

/** As long as the words of a change may be. */
const MOST_SAYS = 200;

export function useRevised<Body extends WithRevision, Change extends object>(
  kind: RevisedKind<Body, Change>,
): Revised<Body, Change> {
  const { id } = kind;
  const loaded = useLoaded(kind.key, kind.ask);
  const [saving, setSaving] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const [conflict, setConflict] = useState<Conflict<Body, Change>>();
  const [done, setDone] = useState<Revised<Body, Change>["done"]>();

  const { reload } = loaded;
  const current = loaded.state === "there" ? loaded.value : undefined;
  // The newest state that this page has seen, also between two drawings.
  const newest = useRef<Body | undefined>(undefined);
  if (current && (newest.current?.id !== current.id || newest.current.revision <= current.revision))
    newest.current = current;
  const turn = useRef<Promise<unknown>>(Promise.resolve());
  const put = (body: Body) => {
    // An answer may come after that to a later question.
    if (newest.current?.id === body.id && newest.current.revision > body.revision) {
      reload();
      return;
    }
    newest.current = body;
    loaded.put(body);
  };
  useLive(
    kind.event,
    useCallback(
      (changed: { readonly id: string; readonly revision?: number | undefined }) => {
        if (changed.id === id && changed.revision !== current?.revision) reload();
      },
      [id, current?.revision, reload],
    ),
  );
  // What was heard may belong to it; the server knows, and works it out.
  useLiveReload(kind.follows, reload);

  const send = (revision: number, change: Change, says: string) =>
    kind.write(revision, change, says.slice(0, MOST_SAYS));

  /** Somebody else changed it: where they wrote other entries both stand, else the person chooses. */
  async function meet(
    base: Body,
    change: Change,
    says: string,
  ): Promise<Answer<Body> | { conflict: Conflict<Body, Change> }> {
    const now = await kind.ask();
    if (!now.ok) return now;
    const again = kind.rebased(change, base, now.value);
    if (again.contested.length > 0) return { conflict: { change, now: now.value } };
    const second = await send(now.value.revision, again.change, says);
    return second.ok || second.problem.status !== 412 ? second : { conflict: { change, now: now.value } };
  }

  /** On the newest state that this page knows: the server need not refuse what is known here to be stale. */
  async function sent(base: Body, change: Change, says: string): ReturnType<typeof meet> {
    const now = newest.current?.id === base.id && newest.current.revision > base.revision ? newest.current : base;
    const mine = now === base ? { change, contested: [] } : kind.rebased(change, base, now);
    if (mine.contested.length > 0) return { conflict: { change, now } };
    const first = await send(now.revision, mine.change, says);
    return first.ok || first.problem.status !== 412 ? first : meet(base, change, says);
  }

  async function write(base: Body, change: Change, says: string): Promise<Saved> {
    setSaving(true);
    setProblem(undefined);
    const outcome = await sent(base, change, says);
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
    const after: Body = { ...base, ...change };
    setDone({ says, undo: (now) => kind.rebased(backOf<Body, Change>(change, base), after, now).change });
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
    async run(ask, undo) {
      setProblem(undefined);
      // In its turn: what is on its way was written on the state before, and what is written next is on the one after.
      const asked = turn.current.then(ask);
      turn.current = asked;
      const answer = await asked;
      if (!answer.ok) {
        setProblem(answer.problem);
        return undefined;
      }
      put(answer.value);
      if (undo) setDone(undo(answer.value));
      return answer.value;
    },
    undo: () => {
      if (!done) return;
      // After what a box that was just left still writes.
      turn.current = turn.current.then(() => {
        const now = newest.current;
        return now && write(now, done.undo(now), `Taken back: ${done.says.replace(/^(Taken back: )+/, "")}`);
      });
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

/** The change that puts back what a change takes away. */
function backOf<Body extends object, Change extends object>(change: Change, before: Body): Change {
  // A change is made of entries of its body.
  return Object.fromEntries(Object.entries(before).filter(([key]) => key in change)) as Change;
}
