import { counted, sentence } from "../../../decoders/words.ts";
import type { NoteBody } from "../../../server/http/wire.ts";
import { rangeWords, type TimeRange } from "./range.ts";

/** What a reader of SigMF is bound to show of a label; the server takes no more. */
export const LABEL_CHARACTERS = 20;

/** A note on the overview, in pixels from its left end. */
export interface NoteTick {
  readonly x: number;
  /** At least 1, so that a note of a moment is seen too. */
  readonly lengthPx: number;
}

/** One tick for each pixel at which notes begin; of several the longest. Notes outside the recording have none. */
export function noteTicks(notes: readonly NoteBody[], seconds: number, widthPx: number): NoteTick[] {
  const ticks = new Map<number, number>();
  for (const { fromSeconds, toSeconds } of notes) {
    if (toSeconds < 0 || fromSeconds > seconds) continue;
    const at = (time: number) => Math.min(widthPx, Math.max(0, (time / seconds) * widthPx));
    const x = Math.min(widthPx - 1, Math.floor(at(fromSeconds)));
    ticks.set(x, Math.max(ticks.get(x) ?? 1, Math.round(at(toSeconds)) - x));
  }
  return [...ticks].map(([x, lengthPx]) => ({ x, lengthPx }));
}

export function notesHeading(notes: readonly NoteBody[], range: TimeRange): string {
  if (notes.length === 0) return "No notes on this recording yet";
  const inside = notes.filter((note) => isIn(note, range)).length;
  const shown = inside === notes.length ? "" : `, ${inside} of them in what is shown`;
  return sentence(`${counted(notes.length, "note")} on this recording${shown}`);
}

/** Where a note lies: a stretch, or a moment. */
export function noteTimeWords({ fromSeconds, toSeconds, sampleCount }: NoteBody): string {
  if (sampleCount > 0) return rangeWords({ fromSeconds, toSeconds });
  return `${fromSeconds.toFixed(6).replace(/0+$/, "").replace(/\.$/, "")}\u202fs`;
}

/** What a note is called in a sentence: its label, else how its comment begins, else where it lies. */
export function noteName(note: NoteBody): string {
  const [line = ""] = note.comment.trim().split("\n");
  const begun = [...line].length > 40 ? `${[...line].slice(0, 39).join("")}…` : line;
  const words = note.label || begun;
  return words === "" ? `the note at ${noteTimeWords(note)}` : `“${words}”`;
}

/** Who made it, where it was not a person on these pages. */
export function makerWords({ generator }: NoteBody): string | undefined {
  return generator === null || generator === "wheelgram note" ? undefined : `by ${generator}`;
}

/** How many keys of others a note has; they stay whatever is changed here. */
export function otherKeysWords({ more }: NoteBody): string | undefined {
  const keys = Object.keys(more);
  return keys.length === 0 ? undefined : `also holds ${keys.join(", ")}`;
}

/** The note after or before `id` in order of time; without an `id` the first one from `atSeconds` on, or before it. */
export function neighbourNote(
  notes: readonly NoteBody[],
  id: string | undefined,
  step: 1 | -1,
  atSeconds = 0,
): NoteBody | undefined {
  const at = notes.findIndex((note) => note.id === id);
  if (at >= 0) return notes[at + step];
  return step === 1
    ? notes.find(({ fromSeconds }) => fromSeconds >= atSeconds)
    : notes.findLast(({ fromSeconds }) => fromSeconds < atSeconds);
}

/** What to show so that a note is seen: all of it, and some of what is around it. */
export function noteRange({ fromSeconds, toSeconds }: NoteBody, seconds: number, leastSeconds: number): TimeRange {
  const spare = Math.max(leastSeconds, 0.15 * (toSeconds - fromSeconds));
  const inside = (time: number) => Math.min(seconds, Math.max(0, time));
  const [from, to] = [inside(fromSeconds - spare), inside(toSeconds + spare)];
  return to - from >= leastSeconds
    ? { fromSeconds: from, toSeconds: to }
    : { fromSeconds: inside(to - leastSeconds), toSeconds: to };
}

function isIn(note: NoteBody, range: TimeRange): boolean {
  return note.toSeconds >= range.fromSeconds && note.fromSeconds <= range.toSeconds;
}
