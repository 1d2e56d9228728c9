import { useEffect, useRef, useState } from "preact/hooks";
import { keepTyping, keptTyping, useSettings } from "./device.ts";
import type { BoxUnits } from "./model/draft.ts";
import { type BoxKeys, draftToKeep, keptDraft, type Typing } from "./model/keptDraft.ts";
import type { Revised, WithRevision } from "./revised.ts";

/** Boxes whose contents are kept on this device at once, and on the server soon after. */
export interface Autosave<Key extends string> {
  readonly draft: Readonly<Record<Key, string>>;
  readonly wrong: Typing<Key>;
  /** Where what was typed is by now, in words. */
  readonly says: string;
  readonly type: (key: Key, text: string) => void;
  /** Writes what waits, now. */
  readonly flush: () => void;
  /** Lets go of what was typed for these entries. */
  readonly drop: (keys: readonly string[]) => void;
  readonly dropAll: () => void;
}

/** What of a thing stands in boxes, and how it is read out of them. */
export interface Drafted<Body, Change, Key extends string> {
  readonly boxes: BoxKeys<Key>;
  readonly stored: (body: Body, units: BoxUnits) => Readonly<Record<Key, string>>;
  /** The entries that were typed anew, and of those that cannot be written what would do. */
  readonly changed: (
    draft: Readonly<Record<Key, string>>,
    stored: Readonly<Record<Key, string>>,
    units: BoxUnits,
    body: Body,
  ) => { readonly change: Change; readonly wrong: Typing<Key> };
  readonly names: (change: Change) => string;
  readonly nameOf: (key: Key) => string;
  /** Under which name the device keeps what is typed. */
  readonly keptAs: (body: Body) => string;
}

/** After the last key: here, and on the server. */
const KEEP_MS = 250;
const WRITE_MS = 1200;
const AGAIN_MS = 5000;

/**
 * What is typed is kept on this device within a second, and written to the server within two. What the server does not
 * take, since it is away, full, or the thing was changed elsewhere, stays in the boxes and on the device, and is tried
 * again.
 */
export function useAutosave<Body extends WithRevision, Change extends object, Key extends string>(
  body: Body,
  card: Pick<Revised<Body, Change>, "save" | "conflict">,
  drafted: Drafted<Body, Change, Key>,
): Autosave<Key> {
  const { pressure, temperature } = useSettings();
  const units: BoxUnits = { pressure, temperature };
  const { boxes } = drafted;
  const name = drafted.keptAs(body);
  const stored = drafted.stored(body, units);
  const [found] = useState(() => keptDraft(keptTyping(name), stored, units, boxes));
  const [typed, setTyped] = useState<Typing<Key>>(found.typed);
  const [isKept, setKept] = useState(true);
  const [failures, setFailures] = useState(0); // since the last that was taken
  const writing = useRef(false);
  // What the typing began on: what others change after it is not written over unseen.
  const base = useRef<Body | undefined>(undefined);
  if (Object.keys(typed).length > 0) base.current ??= body;
  const draft: Readonly<Record<Key, string>> = { ...stored, ...typed };
  const { change, wrong } = drafted.changed(draft, stored, units, body);
  const waits = Object.keys(change).length > 0;
  const latest = useRef({ body, card, change, wrong, typed, conflicted: false });
  latest.current = { body, card, change, wrong, typed, conflicted: card.conflict !== undefined };

  const keep = () => keepTyping(name, draftToKeep(typed, stored, found, units, boxes));
  const keeping = useRef(keep);
  keeping.current = keep;
  useEffect(() => {
    const timer = setTimeout(() => setKept(keeping.current()), KEEP_MS);
    return () => clearTimeout(timer);
    // What was heard draws the page anew each second: only typing and writing set the clock.
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
    const outcome = await now.card.save(now.change, `Written: ${drafted.names(now.change)}`, base.current ?? now.body);
    writing.current = false;
    setFailures((before) => (outcome === "failed" ? before + 1 : 0));
    if (outcome !== "written") return;
    base.current = undefined;
    // What was typed on meanwhile stays in its box, and so does what could not be written.
    setTyped((before) => only(before, (key) => before[key] !== now.typed[key] || now.wrong[key] !== undefined));
  };

  useEffect(() => {
    if (!waits) return;
    const timer = setTimeout(() => void write(), failures > 0 ? AGAIN_MS : WRITE_MS);
    return () => clearTimeout(timer);
  }, [JSON.stringify(change), failures]);

  const names = drafted.names(change);
  return {
    draft,
    wrong,
    says: [
      stateWords({ names, waits, failed: failures > 0, isKept, wrong: Object.keys(wrong).length }),
      asideWords(found.aside, drafted.nameOf),
    ]
      .filter((words) => words !== "")
      .join(" "),
    type: (key, text) => setTyped((before) => ({ ...before, [key]: text })),
    flush: () => void write(),
    drop(keys) {
      base.current = undefined;
      setTyped((before) => only(before, (key) => !keys.includes(key)));
    },
    dropAll() {
      base.current = undefined;
      setTyped((before) => only(before, () => false));
    },
  };
}

function only<Key extends string>(typed: Typing<Key>, holds: (key: Key) => boolean): Typing<Key> {
  const left: Partial<Record<Key, string>> = {};
  for (const key in typed) if (holds(key)) left[key] = typed[key];
  return left;
}

/** What was kept here, and is not written since the thing says something else by now. */
function asideWords<Key extends string>(aside: Typing<Key>, nameOf: (key: Key) => string): string {
  const words: string[] = [];
  for (const key in aside) words.push(`${nameOf(key)} “${aside[key]}”`);
  if (words.length === 0) return "";
  return `Typed here before, and not written since it was changed meanwhile: ${words.join(", ")}. Type it again if it holds.`;
}

interface State {
  /** Of the entries that are to be written. */
  readonly names: string;
  readonly waits: boolean;
  readonly failed: boolean;
  readonly isKept: boolean;
  readonly wrong: number;
}

function stateWords({ names, waits, failed, isKept, wrong }: State): string {
  const here = isKept ? "kept on this device" : "not kept: this device refuses to store it";
  if (failed && waits) return `Not on the server yet (${names}), ${here}. It is tried again by itself.`;
  if (waits) return `Writing ${names}…`;
  if (wrong > 0) return `${wrong === 1 ? "One box is" : `${wrong} boxes are`} not clear yet, ${here}.`;
  return "All of it is written.";
}
