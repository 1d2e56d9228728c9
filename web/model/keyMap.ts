import type { KeyPlace } from "./actions/action.ts";
import { ACTIONS, type Action, type ActionId, actionOf, isActionId } from "./actions.ts";

/** Which keys do what on this device. */
export interface KeyMap {
  /** Keys that were chosen in place of those that an action comes with; empty: it has none. */
  readonly changed: Readonly<Partial<Record<ActionId, readonly string[]>>>;
  /** Whether letters, digits and signs alone act in a band (WCAG 2.1.4 asks that they can be turned off). */
  readonly singleKeys: boolean;
}

export const DEFAULT_KEY_MAP: KeyMap = { changed: {}, singleKeys: true };

/** What of a keyboard event says which key it is. */
export interface KeyPress {
  readonly key: string;
  readonly ctrlKey?: boolean;
  readonly metaKey?: boolean;
  readonly altKey?: boolean;
  readonly shiftKey?: boolean;
}

/**
 * A press as it is written down: `n`, `Shift+N`, `+`, `PageUp`, `Ctrl+K`. Ctrl and the command key are one; a sign is the
 * sign, whatever has to be held to type it; Caps Lock does not count.
 */
export function chordOf({ key, ctrlKey, metaKey, altKey, shiftKey }: KeyPress): string {
  const isLetter = /^\p{L}$/u.test(key);
  const isSign = isOneSign(key) && !isLetter;
  const held = [
    ...(ctrlKey || metaKey ? ["Ctrl"] : []),
    ...(altKey ? ["Alt"] : []),
    ...(shiftKey && !isSign ? ["Shift"] : []),
  ];
  return [...held, isLetter ? (held.length > 0 ? key.toUpperCase() : key.toLowerCase()) : key].join("+");
}

/** The keys of an action, in a place or in all of its own. */
export function keysOf(map: KeyMap, { id, keys }: Action): readonly string[] {
  return map.changed[id] ?? keys;
}

/** What a press does in a place; `undefined` for nothing. */
export function actionOfKey(map: KeyMap, press: KeyPress, place: KeyPlace): ActionId | undefined {
  const chord = chordOf(press);
  if (!map.singleKeys && isSingle(chord)) return undefined;
  return ACTIONS.find((action) => action.keyPlaces.includes(place) && keysOf(map, action).includes(chord))?.id;
}

/** The first key of an action as it is written on a keyboard; `undefined` where it has none, or none that acts. */
export function keyOf(map: KeyMap, id: ActionId): string | undefined {
  const acting = keysOf(map, actionOf(id)).filter((chord) => map.singleKeys || !isSingle(chord));
  return acting[0] === undefined ? undefined : chordWords(acting[0]);
}

/** A chord in the words that stand on keys: `Ctrl + K`, `Page Up`. */
export function chordWords(chord: string): string {
  return partsOf(chord)
    .map((part) => KEY_NAMES[part] ?? (isOneSign(part) ? part.toUpperCase() : part))
    .join(" + ");
}

/** What came of asking for another key. */
export type Remapped =
  | { readonly ok: true; readonly map: KeyMap }
  | { readonly ok: false; readonly because: string; readonly taken: ActionId | undefined };

/** Gives an action one key in place of all that it has; a key that is another one's where both act is refused. */
export function withKey(map: KeyMap, id: ActionId, press: KeyPress): Remapped {
  const action = actionOf(id);
  const chord = chordOf(press);
  const refused = refusal(chord, action);
  if (refused !== undefined) return { ok: false, because: refused, taken: undefined };
  const other = ACTIONS.find((one) => one.id !== id && meets(one, action) && keysOf(map, one).includes(chord));
  if (other) {
    return { ok: false, because: `${chordWords(chord)} is taken by “${other.name}”.`, taken: other.id };
  }
  return { ok: true, map: { ...map, changed: { ...map.changed, [id]: [chord] } } };
}

/** Takes all keys off an action. */
export function withoutKey(map: KeyMap, id: ActionId): KeyMap {
  return { ...map, changed: { ...map.changed, [id]: [] } };
}

/** Gives an action the keys that it came with; whoever took them meanwhile gets its own back too. */
export function withDefaultKey(map: KeyMap, id: ActionId): KeyMap {
  let changed = without(map.changed, id);
  for (;;) {
    const met = conflictsOf({ ...map, changed }).flatMap(({ ids }) => ids);
    const next = met.find((one) => changed[one] !== undefined);
    if (next === undefined) return { ...map, changed };
    changed = without(changed, next);
  }
}

function without(changed: KeyMap["changed"], id: ActionId): KeyMap["changed"] {
  const { [id]: _, ...rest } = changed;
  return rest;
}

/** The map that this device kept as text; whatever does not fit is left out. */
export function keyMapFrom(text: string | null): KeyMap {
  const kept = objectFrom(text);
  let map: KeyMap = { changed: {}, singleKeys: kept["singleKeys"] !== false };
  const changed = kept["changed"];
  if (typeof changed !== "object" || changed === null) return map;
  // Those that took a key off go first: it may be free for the next only then.
  const entries = Object.entries(changed).toSorted(([, a], [, b]) => Number(isFull(a)) - Number(isFull(b)));
  for (const [id, chords] of entries) {
    if (!isActionId(id) || !Array.isArray(chords)) continue;
    const chord: unknown = chords[0];
    if (chord === undefined) map = withoutKey(map, id);
    else if (typeof chord === "string" && refusal(chord, actionOf(id)) === undefined) {
      map = { ...map, changed: { ...map.changed, [id]: [chord] } };
    }
  }
  return conflictsOf(map).length === 0 ? map : { ...map, changed: {} };
}

/** Keys that mean two things in one place. */
export function conflictsOf(map: KeyMap): readonly { readonly chord: string; readonly ids: readonly ActionId[] }[] {
  const found = [];
  for (const [at, one] of ACTIONS.entries()) {
    for (const other of ACTIONS.slice(at + 1).filter((candidate) => meets(one, candidate))) {
      const chord = keysOf(map, one).find((key) => keysOf(map, other).includes(key));
      if (chord !== undefined) found.push({ chord, ids: [one.id, other.id] });
    }
  }
  return found;
}

/** Whether a chord is a letter, digit or sign that nothing is held with but Shift. */
export function isSingle(chord: string): boolean {
  const parts = partsOf(chord);
  return isOneSign(parts.at(-1) ?? "") && !parts.includes("Ctrl") && !parts.includes("Alt");
}

/** Bands use these by themselves, as every list and slider does, and the browser to go on. */
const FIXED = new Set([
  "Enter",
  " ",
  "Escape",
  "Tab",
  "Home",
  "End",
  "ArrowLeft",
  "ArrowRight",
  "ArrowUp",
  "ArrowDown",
]);
const HELD_ALONE = new Set(["Shift", "Control", "Alt", "AltGraph", "Meta", "CapsLock", "Dead", "Unidentified"]);
/** What else a band can be given: no browser has a use for them inside a drawing. */
const ALLOWED = new Set(["Backspace", "Delete", "Insert", "PageUp", "PageDown"]);
/** Ctrl with any other letter is the browser's or the system's: a new tab, find, print, copy. */
const CTRL_LETTERS = new Set(["K", "I", "J", "M", "B", "E", "Y"]);

/** Why a chord cannot be an action's; `undefined` where it can. */
function refusal(chord: string, action: Action): string | undefined {
  const parts = partsOf(chord);
  const key = parts.at(-1) ?? "";
  const words = chordWords(chord);
  if (HELD_ALONE.has(key)) return "That is a key to hold while another is pressed.";
  if (FIXED.has(key)) return `${words} moves inside every band and list, so it stays as it is.`;
  if (parts.includes("Alt")) return `${words} may be the browser's or the system's.`;
  if (parts.includes("Ctrl")) {
    if (!action.keyPlaces.includes("anywhere"))
      return `${words} may be the browser's: a key of a band is pressed alone.`;
    return parts.length === 2 && CTRL_LETTERS.has(key) ? undefined : `${words} is the browser's or the system's.`;
  }
  if (action.keyPlaces.includes("anywhere")) return "A key that acts on every page needs Ctrl, so that typing is safe.";
  if (action.keyPlaces.length === 0) return `“${action.name}” stands in no band, so it takes no key.`;
  return isOneSign(key) || ALLOWED.has(key) ? undefined : `${words} is the browser's or the system's.`;
}

/** Whether two actions can be asked for in the same place. */
function meets(one: Action, other: Action): boolean {
  const everywhere = one.keyPlaces.includes("anywhere") || other.keyPlaces.includes("anywhere");
  if (everywhere) return one.keyPlaces.length > 0 && other.keyPlaces.length > 0;
  return one.keyPlaces.some((place) => other.keyPlaces.includes(place));
}

/** `Shift+N` in two, and the plus key alone is itself. */
function partsOf(chord: string): string[] {
  return chord.endsWith("+") ? [...chord.slice(0, -1).split("+").filter(Boolean), "+"] : chord.split("+");
}

function isOneSign(key: string): boolean {
  return [...key].length === 1 && key !== " ";
}

function isFull(chords: unknown): boolean {
  return Array.isArray(chords) && chords.length > 0;
}

function objectFrom(text: string | null): Readonly<Record<string, unknown>> {
  if (text === null) return {};
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === "object" && value !== null ? { ...value } : {};
  } catch {
    return {};
  }
}

const KEY_NAMES: Readonly<Record<string, string>> = {
  PageUp: "Page Up",
  PageDown: "Page Down",
  " ": "Space",
  ArrowLeft: "Left arrow",
  ArrowRight: "Right arrow",
  ArrowUp: "Up arrow",
  ArrowDown: "Down arrow",
  Escape: "Esc",
};
