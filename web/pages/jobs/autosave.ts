import { useEffect, useRef, useState } from "preact/hooks";
import type { JobBody, JobChangeBody } from "../../../server/http/wire.ts";
import { keepJobDraft, keptJobDraft, useSettings } from "../../device.ts";
import {
  type BoxUnits,
  changedEntries,
  type Draft,
  type DraftKey,
  draftOf,
  draftToKeep,
  keptDraft,
} from "../../model/draft.ts";
import { entryNames } from "../../model/jobChange.ts";
import type { Card } from "./card.ts";

/** Boxes whose contents are kept on this device at once, and on the server soon after. */
export interface Autosave {
  readonly draft: Draft;
  readonly wrong: Readonly<Partial<Record<DraftKey, string>>>;
  /** Where what was typed is by now, in words. */
  readonly says: string;
  readonly type: (key: DraftKey, text: string) => void;
  /** Writes what waits, now. */
  readonly flush: () => void;
  /** Lets go of what was typed for these entries. */
  readonly drop: (keys: readonly string[]) => void;
}

/** After the last key: here, and on the server. */
const KEEP_MS = 250;
const WRITE_MS = 1200;
const AGAIN_MS = 5000;

/**
 * What is typed is kept on this device within a second, and written to the server within two. What the server does not
 * take, since it is away, full, or the card was changed elsewhere, stays in the boxes and on the device, and is tried
 * again.
 */
export function useAutosave(job: JobBody, card: Card): Autosave {
  const { pressure, temperature } = useSettings();
  const units: BoxUnits = { pressure, temperature };
  const stored = draftOf(job, units);
  const [found] = useState(() => keptDraft(keptJobDraft(job.id), stored, units));
  const [typed, setTyped] = useState<Partial<Draft>>(found.typed);
  const [isKept, setKept] = useState(true);
  const [failed, setFailed] = useState(false);
  const writing = useRef(false);
  // The card that the typing began on: what others change after it is not written over unseen.
  const base = useRef<JobBody | undefined>(undefined);
  if (Object.keys(typed).length > 0) base.current ??= job;
  const draft: Draft = { ...stored, ...typed };
  const { change, wrong } = changedEntries(draft, stored, units);
  const waits = Object.keys(change).length > 0;
  const latest = useRef({ job, card, change, typed, conflicted: false });
  latest.current = { job, card, change, typed, conflicted: card.conflict !== undefined };

  const keep = () => keepJobDraft(job.id, draftToKeep(typed, stored, found, units));
  const keeping = useRef(keep);
  keeping.current = keep;
  useEffect(() => {
    const timer = setTimeout(() => setKept(keeping.current()), KEEP_MS);
    return () => clearTimeout(timer);
    // What was heard draws the card anew each second: only typing and writing set the clock.
  }, [JSON.stringify(typed), JSON.stringify(stored)]);
  useEffect(() => {
    // The last keys before the page is left.
    const now = () => void keeping.current();
    addEventListener("pagehide", now);
    return () => {
      removeEventListener("pagehide", now);
      now();
    };
  }, []);

  const write = async () => {
    const now = latest.current;
    if (writing.current || now.conflicted || Object.keys(now.change).length === 0) return;
    writing.current = true;
    const outcome = await now.card.save(now.change, `Written: ${entryNames(now.change)}`, base.current ?? now.job);
    writing.current = false;
    setFailed(outcome === "failed");
    if (outcome !== "written") return;
    base.current = undefined;
    // What was typed on meanwhile stays in its box.
    setTyped((before) =>
      Object.fromEntries(
        Object.entries(before).filter(([key, text]) => !(key in now.change) || text !== now.typed[key as DraftKey]),
      ),
    );
  };

  useEffect(() => {
    if (!waits) return;
    const timer = setTimeout(() => void write(), failed ? AGAIN_MS : WRITE_MS);
    return () => clearTimeout(timer);
  }, [JSON.stringify(change), failed]);

  return {
    draft,
    wrong,
    says: [stateWords({ change, waits, failed, isKept, wrong: Object.keys(wrong).length }), asideWords(found.aside)]
      .filter((words) => words !== "")
      .join(" "),
    type: (key, text) => setTyped((before) => ({ ...before, [key]: text })),
    flush: () => void write(),
    drop(keys) {
      base.current = undefined;
      setTyped((before) => Object.fromEntries(Object.entries(before).filter(([key]) => !keys.includes(key))));
    },
  };
}

/** What was kept here, and is not written since the card says something else by now. */
function asideWords(aside: Partial<Draft>): string {
  const entries = Object.entries(aside);
  if (entries.length === 0) return "";
  const words = entries.map(([key, text]) => `${entryNames({ [key]: "" })} “${text}”`).join(", ");
  return `Typed here before, and not written since the card was changed meanwhile: ${words}. Type it again if it holds.`;
}

interface State {
  readonly change: JobChangeBody;
  readonly waits: boolean;
  readonly failed: boolean;
  readonly isKept: boolean;
  readonly wrong: number;
}

function stateWords({ change, waits, failed, isKept, wrong }: State): string {
  const here = isKept ? "kept on this device" : "not kept: this device refuses to store it";
  if (failed && waits) return `Not on the server yet (${entryNames(change)}), ${here}. It is tried again by itself.`;
  if (waits) return `Writing ${entryNames(change)}…`;
  if (wrong > 0) return `${wrong === 1 ? "One box is" : `${wrong} boxes are`} not clear yet, ${here}.`;
  return "All of it is written.";
}
