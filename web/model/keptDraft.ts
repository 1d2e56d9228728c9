import type { BoxUnits } from "./draft.ts";

/** What this device kept of a draft: texts of boxes by their keys. */
export interface KeptDraft<Key extends string> {
  /** Boxes that were typed in and not written yet, on a card that still says what it said then. */
  readonly typed: Typing<Key>;
  /** Boxes whose entry was changed meanwhile, or that were typed in another unit: not to be written unasked. */
  readonly aside: Typing<Key>;
}

/** What was typed, by box. */
export type Typing<Key extends string> = Readonly<Partial<Record<Key, string>>>;

/** Which boxes there are, and which of them mean the same whatever the unit. */
export interface BoxKeys<Key extends string> {
  readonly isKey: (key: string) => key is Key;
  readonly isWord: (key: Key) => boolean;
}

/** The text for the device; `null` where there is nothing to keep. */
export function draftToKeep<Key extends string>(
  typed: Typing<Key>,
  stored: Readonly<Record<Key, string>>,
  { aside }: Pick<KeptDraft<Key>, "aside">,
  units: BoxUnits,
  { isKey }: Pick<BoxKeys<Key>, "isKey">,
): string | null {
  const open = Object.keys(typed).filter((key) => isKey(key) && typed[key] !== stored[key]);
  const boxes = Object.fromEntries(open.filter(isKey).map((key) => [key, { text: typed[key], was: stored[key] }]));
  const others = Object.keys(aside)
    .filter(isKey)
    .filter((key) => typed[key] === undefined);
  const left = Object.fromEntries(others.map((key) => [key, { text: aside[key], was: null }]));
  if (open.length + others.length === 0) return null;
  return JSON.stringify({ units, boxes: { ...left, ...boxes } });
}

/** Back from the device, held against the card as it is now. */
export function keptDraft<Key extends string>(
  text: string | null,
  stored: Readonly<Record<Key, string>>,
  units: BoxUnits,
  { isKey, isWord }: BoxKeys<Key>,
): KeptDraft<Key> {
  const typed: Partial<Record<Key, string>> = {};
  const aside: Partial<Record<Key, string>> = {};
  const kept = objectOf(text === null ? null : parsed(text));
  const then = objectOf(kept["units"]);
  const isSameUnit = then["pressure"] === units.pressure && then["temperature"] === units.temperature;
  for (const [key, box] of Object.entries(objectOf(kept["boxes"]))) {
    if (!isKey(key)) continue;
    const { text: words, was } = objectOf(box);
    if (typeof words !== "string" || words === stored[key]) continue;
    const holds = was === stored[key] && (isSameUnit || isWord(key));
    (holds ? typed : aside)[key] = words;
  }
  return { typed, aside };
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null; // written by another version, or cut short
  }
}

function objectOf(value: unknown): Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null ? { ...value } : {};
}
