import { bitsOfHex } from "../../../decoders/frames/hex.ts";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import type { NoteBody } from "../../../server/http/wire.ts";
import { counted, listed } from "../quantities.ts";
import type { Settings } from "../settings.ts";
import type { Frame } from "./frames.ts";
import { missedWords, verdictWords } from "./frameWords.ts";
import { type BitPattern, bitPattern, placesOf } from "./searchBits.ts";
import { conditionOf, fieldHit } from "./searchFields.ts";

/** A note as the search needs it. */
export type SearchedNote = Pick<NoteBody, "id" | "fromSeconds" | "toSeconds" | "label" | "comment">;

/** A place in the recording at which there is what was looked for. */
export interface SearchHit {
  /** Apart from that of every other hit. */
  readonly key: string;
  /** A frame or a note, by its id. */
  readonly of: { readonly kind: "frame"; readonly id: string } | { readonly kind: "note"; readonly id: string };
  readonly fromSeconds: number;
  readonly toSeconds: number;
  /** What was found there, in words. */
  readonly says: string;
  /** Of a bit pattern: where it begins first, in the bits that are shown of the frame. */
  readonly bit: number | undefined;
}

export type Searched =
  /** In order of time. `says`: what was looked for, in words. */
  | { readonly ok: true; readonly says: string; readonly hits: readonly SearchHit[] }
  | { readonly ok: false; readonly says: string };

export interface SearchIn {
  readonly frames: readonly Frame[];
  readonly notes: readonly SearchedNote[];
  readonly layoutOf: (id: string) => Layout | undefined;
  /** Numbers without a unit are meant in these. */
  readonly units: Pick<Settings, "pressure" | "temperature">;
}

/** What can be typed, for where nothing was understood or found. */
export const SEARCH_EXAMPLES = ["3a51", "pressure > 250", "battery low", "10xx1", "0x3a51", "cut off"] as const;

/**
 * Every frame and note that has what a text asks for: a part of a sensor ID, a bit pattern, a field's value, or words of
 * what became of a burst or of a note.
 */
export function search(text: string, where: SearchIn): Searched {
  const asked = text.trim().replace(/\s+/g, " ");
  if (asked === "") return { ok: true, says: "", hits: [] };
  const condition = conditionOf(asked, fieldsIn(where), where.units);
  if (condition && !condition.ok) return condition;
  if (condition) {
    const hits = where.frames.flatMap((frame) => {
      const says = fieldHit(frame, condition.value, where);
      return says === undefined ? [] : [hitOf(frame, says)];
    });
    return { ok: true, says: condition.value.says, hits };
  }
  const pattern = bitPattern(asked);
  if (pattern && !pattern.ok) return pattern;
  const identity = identityIn(asked);
  const words = wordsOf(asked);
  const frames = where.frames.flatMap((frame) => {
    const found = [
      identity === undefined ? undefined : identityHit(frame, identity),
      pattern === undefined ? undefined : patternHit(frame, pattern.value),
      pattern !== undefined ? undefined : reasonHit(frame, words),
    ].filter((hit) => hit !== undefined);
    const says = found.map((hit) => hit.says).join("; ");
    return found.length === 0 ? [] : [hitOf(frame, says, found.find(({ bit }) => bit !== undefined)?.bit)];
  });
  const notes = where.notes.filter((note) => hasAll(`${note.label} ${note.comment}`, words)).map(noteHit);
  return {
    ok: true,
    says: pattern ? pattern.value.says : `“${asked}” in sensor IDs, reasons and notes`,
    hits: [...frames, ...notes].toSorted((a, b) => a.fromSeconds - b.fromSeconds || (a.key < b.key ? -1 : 1)),
  };
}

/** How many there are, for the box: `none`, `3 of 12`, `12`. */
export function hitCount(hits: readonly SearchHit[], key: string | undefined): string {
  const at = hits.findIndex((hit) => hit.key === key);
  if (hits.length === 0) return "none";
  return at === -1 ? `${hits.length} found` : `${at + 1} of ${hits.length}`;
}

/** The next hit or the one before, round the ends; without a chosen one the first from `atSeconds` on, or the last before. */
export function stepped(
  hits: readonly SearchHit[],
  key: string | undefined,
  step: 1 | -1,
  atSeconds = 0,
): SearchHit | undefined {
  const at = hits.findIndex((hit) => hit.key === key);
  if (at !== -1) return hits[(at + step + hits.length) % hits.length];
  if (step === 1) return hits.find(({ fromSeconds }) => fromSeconds >= atSeconds) ?? hits[0];
  return hits.findLast(({ fromSeconds }) => fromSeconds < atSeconds) ?? hits.at(-1);
}

/** Where hits lie in the overview, in pixels from its left end: one tick for each pixel that has any, ascending. */
export function hitTicks(hits: readonly SearchHit[], seconds: number, widthPx: number): number[] {
  const at = hits.map(({ fromSeconds }) =>
    Math.min(widthPx - 1, Math.max(0, Math.floor((fromSeconds / seconds) * widthPx))),
  );
  return [...new Set(at)].toSorted((a, b) => a - b);
}

/** Small letters, one word each. */
function wordsOf(text: string): string[] {
  return text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "");
}

function hasAll(text: string, words: readonly string[]): boolean {
  const low = text.toLowerCase();
  return words.length > 0 && words.every((word) => low.includes(word));
}

function hitOf(frame: Frame, says: string, bit?: number): SearchHit {
  const { id, fromSeconds, toSeconds } = frame;
  return { key: `frame ${id}`, of: { kind: "frame", id }, fromSeconds, toSeconds, says, bit };
}

function noteHit(note: SearchedNote): SearchHit {
  const { id, fromSeconds, toSeconds, label, comment } = note;
  const says = `note: ${[label, comment].filter((part) => part !== "").join(", ")}`;
  return { key: `note ${id}`, of: { kind: "note", id }, fromSeconds, toSeconds, says, bit: undefined };
}

/** Hex digits of at least two, as parts of IDs are read out: in groups, in capitals, with colons. */
function identityIn(text: string): string | undefined {
  const bare = text
    .toLowerCase()
    .replace(/^0x/, "")
    .replace(/[\s:._-]/g, "");
  return /^[0-9a-f]{2,}$/.test(bare) ? bare : undefined;
}

interface Found {
  readonly says: string;
  readonly bit?: number | undefined;
}

function identityHit({ telegram }: Frame, part: string): Found | undefined {
  const identity = telegram?.identity;
  return identity?.toLowerCase().includes(part) ? { says: `sensor ID ${identity}` } : undefined;
}

/** The bits that are searched of a frame: its telegram's, else the symbols that its burst was cut into. */
export function searchedBits({ burst, telegram }: Frame): {
  readonly thing: "bit" | "symbol";
  readonly bits: Uint8Array;
} {
  if (telegram) return { thing: "bit", bits: bitsOfHex(telegram.telegram.bits, telegram.telegram.bitCount) };
  return { thing: "symbol", bits: bitsOfHex(burst.symbols ?? "", burst.symbols === null ? 0 : burst.symbolCount) };
}

function patternHit(frame: Frame, pattern: BitPattern): Found | undefined {
  const { thing, bits } = searchedBits(frame);
  const places = placesOf(pattern, bits);
  const [first] = places;
  if (first === undefined) return undefined;
  const end = first + pattern.bits.length - 1;
  const more = places.length === 1 ? "" : ` and at ${counted(places.length - 1, "more place")}`;
  return { says: `${pattern.text} at ${thing}s ${first}–${end}${more}`, bit: first };
}

/** What became of a burst in the ladder's words: its verdict, what it missed and why, and what it may be known by. */
function reasonHit(frame: Frame, words: readonly string[]): Found | undefined {
  const { burst, telegram } = frame;
  const missed = burst.rungs.filter(({ passed }) => passed === false);
  const said = [
    telegram ? verdictWords(frame) : missedWords(burst.outcome),
    ...missed.flatMap(({ rung, because }) => [rung.replace("-", " "), because]),
    ...(telegram && telegram.telegram.repairedBits > 0
      ? [`${counted(telegram.telegram.repairedBits, "bit")} repaired`]
      : []),
    ...(burst.clipped ? ["at the receiver's limit"] : []),
    telegram?.telegram.layout ?? burst.layout ?? "no layout",
  ];
  if (!hasAll(said.join(" "), words)) return undefined;
  // The shortest that has all of the words says best why it is here.
  const best = said.filter((part) => hasAll(part, words)).toSorted((a, b) => a.length - b.length)[0];
  return { says: best ?? listed(said.filter((part) => words.some((word) => part.toLowerCase().includes(word)))) };
}

function fieldsIn({ frames }: SearchIn): readonly string[] {
  return [...new Set(frames.flatMap(({ telegram }) => Object.keys(telegram?.telegram.fields ?? {})))];
}
