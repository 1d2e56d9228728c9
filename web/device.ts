import { createContext } from "preact";
import { useContext } from "preact/hooks";
import { DEFAULT_KEY_MAP, type KeyMap, keyMapFrom } from "./model/keyMap.ts";
import { DEFAULT_SETTINGS, type Settings, settingsFrom } from "./model/settings.ts";

// What this device remembers. A browser may refuse to keep anything; then the pages work without.

export interface SettingsHere {
  readonly settings: Settings;
  readonly change: (change: Partial<Settings>) => void;
}

export const SettingsContext = createContext<SettingsHere>({ settings: DEFAULT_SETTINGS, change: () => undefined });

export function useSettings(): Settings {
  return useContext(SettingsContext).settings;
}

export function keptSettings(): Settings {
  return settingsFrom(kept(SETTINGS_KEY));
}

export function keepSettings(settings: Settings): void {
  keep(SETTINGS_KEY, JSON.stringify(settings));
}

export interface KeysHere {
  readonly keys: KeyMap;
  readonly changeKeys: (keys: KeyMap) => void;
}

export const KeysContext = createContext<KeysHere>({ keys: DEFAULT_KEY_MAP, changeKeys: () => undefined });

/** Which keys do what on this device. */
export function useKeys(): KeyMap {
  return useContext(KeysContext).keys;
}

export function keptKeys(): KeyMap {
  return keyMapFrom(kept(KEYS_KEY));
}

export function keepKeys(keys: KeyMap): void {
  keep(KEYS_KEY, JSON.stringify(keys));
}

/** The entry that was used last, as its address; `null` at first. */
export function keptEntry(): string | null {
  return kept(ENTRY_KEY);
}

export function keepEntry(entry: string): void {
  keep(ENTRY_KEY, entry);
}

/** What was put aside to be compared, as text; `null` for nothing. */
export function keptToCompare(): string | null {
  return kept(COMPARE_KEY);
}

export function keepToCompare(text: string): void {
  keep(COMPARE_KEY, text);
}

/** How exercises went on this device, as text; `null` for nothing. */
export function keptProgress(): string | null {
  return kept(PROGRESS_KEY);
}

export function keepProgress(text: string | null): void {
  try {
    if (text === null) localStorage.removeItem(PROGRESS_KEY);
    else localStorage.setItem(PROGRESS_KEY, text);
  } catch {
    // Storage is switched off or full: it holds until the page is left.
  }
}

/** The sitting that this tab is at in an exercise; `null` for none. */
export function keptSitting(of: string): string | null {
  try {
    return sessionStorage.getItem(`${SITTING_KEY}.${of}`);
  } catch {
    return null;
  }
}

export function keepSittingId(of: string, id: string): void {
  try {
    sessionStorage.setItem(`${SITTING_KEY}.${of}`, id);
  } catch {
    // Storage is switched off: a reload then begins another draw.
  }
}

/** Text that was typed for a job, or for a lot as `lot.7Q4X`, or for a new `study`, and is not on the server yet; `null` for nothing. */
export function keptTyping(of: string): string | null {
  return kept(`${DRAFT_KEY}.${of}`);
}

/** @returns Whether the device took it. */
export function keepTyping(of: string, text: string | null): boolean {
  try {
    if (text === null) localStorage.removeItem(`${DRAFT_KEY}.${of}`);
    else localStorage.setItem(`${DRAFT_KEY}.${of}`, text);
    return true;
  } catch {
    return false;
  }
}

/** How a class board is shown on this device's projector, as text; `null` for nothing. */
export function keptProjector(): string | null {
  return kept(PROJECTOR_KEY);
}

export function keepProjector(text: string): void {
  keep(PROJECTOR_KEY, text);
}

/** The code of the lesson in which this device took a seat last; `null` for none. The seat itself is in its cookie. */
export function keptLesson(): string | null {
  return kept(LESSON_KEY);
}

export function keepLesson(code: string): void {
  keep(LESSON_KEY, code);
}

export const COMPARE_KEY = "wheelgram.compare";
const PROGRESS_KEY = "wheelgram.exercises";
const SITTING_KEY = "wheelgram.sitting";
const DRAFT_KEY = "wheelgram.draft";
const SETTINGS_KEY = "wheelgram.settings";
const KEYS_KEY = "wheelgram.keys";
const LESSON_KEY = "wheelgram.lesson";
const PROJECTOR_KEY = "wheelgram.projector";
const ENTRY_KEY = "wheelgram.entry";

function kept(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null; // storage is switched off: the defaults hold
  }
}

function keep(key: string, text: string): void {
  try {
    localStorage.setItem(key, text);
  } catch {
    // Storage is switched off or full: the choice holds until the page is left.
  }
}
