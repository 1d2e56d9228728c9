import type { StoredNote } from "../store/store.ts";
import { decodeUtf8 } from "./json.ts";
import type { Recording } from "./recording.ts";
import { readSpelledJson } from "./spelledJson.ts";

/**
 * The annotations that a recording came with, as notes, each with every key it has and in the spelling it has. Bursts
 * that our own analysis marked are left out: the same samples give them again, and a list of them is no list of notes.
 *
 * @param newId An id for each that no other note of the recording has.
 */
export function importedNotes({ origin }: Pick<Recording, "origin">, newId: () => string): StoredNote[] {
  if (origin.kind !== "sigmf" && origin.kind !== "archive") return [];
  const { metadata } = origin;
  if (metadata.annotations.length === 0) return [];
  const decoded = decodeUtf8(metadata.bytes);
  if (!decoded.ok) throw new RangeError(`metadata that is no UTF-8 at byte ${decoded.error.byte}`);
  const spelled = readSpelledJson(decoded.value);
  const offset = metadata.global["core:offset"] ?? 0;
  return annotationsOf(spelled.value).flatMap((entry, i) => {
    const start = metadata.annotations[i]?.["core:sample_start"];
    if (start === undefined || isOurs(entry)) return [];
    const startSample = start - offset;
    const annotation = spelled.print({ ...entry, "core:sample_start": startSample });
    return [{ id: newId(), startSample, annotation }];
  });
}

/** Those of `notes` that are not among `there`: neither under the same core:uuid nor key by key. */
export function newAmong(notes: readonly StoredNote[], there: readonly StoredNote[]): StoredNote[] {
  const known = new Set(there.flatMap(({ annotation }) => [uuidOf(annotation) ?? annotation, annotation]));
  return notes.filter(({ annotation }) => !known.has(annotation) && !known.has(uuidOf(annotation) ?? annotation));
}

/**
 * Whether an annotation was made by our analysis and by nobody else: it says so, and has no key that we do not write.
 * Versions before the extension said so by the generator alone.
 */
function isOurs(annotation: Readonly<Record<string, unknown>>): boolean {
  const generator = annotation["core:generator"];
  return (
    typeof generator === "string" &&
    /^wheelgram \d+\.\d+\.\d+/.test(generator) &&
    !Object.hasOwn(annotation, "core:uuid") &&
    Object.keys(annotation).every((key) => /^(core|wheelgram):/.test(key)) &&
    !Object.hasOwn(annotation, "wheelgram:mark")
  );
}

function uuidOf(annotation: string): string | undefined {
  const parsed: unknown = JSON.parse(annotation);
  const uuid = typeof parsed === "object" && parsed !== null && "core:uuid" in parsed ? parsed["core:uuid"] : undefined;
  return typeof uuid === "string" ? uuid.toLowerCase() : undefined;
}

function annotationsOf(whole: unknown): Record<string, unknown>[] {
  const list = typeof whole === "object" && whole !== null && "annotations" in whole ? whole.annotations : undefined;
  return Array.isArray(list) ? list : [];
}
