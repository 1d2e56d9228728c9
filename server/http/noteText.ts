import { readSpelledJson, type SpelledJson } from "../recordings/spelledJson.ts";
import type { StoredNote, StoredRecording } from "../store/store.ts";
import type { NoteBody, NoteChangeBody } from "./wire.ts";

type Measured = Pick<StoredRecording, "sampleRateHz" | "sampleCount" | "captures">;
type Json = Record<string, unknown>;

/** A note as it goes over the wire. A key of the wrong kind, as a file may bring it, is left among `more`. */
export function noteBody({ id, startSample, annotation }: StoredNote, recording: Measured): NoteBody {
  const spelled = readSpelledJson(annotation);
  const { own, more } = sorted(spelled);
  const endSample = startSample + (own.sampleCount ?? Math.max(0, captureEnd(recording, startSample) - startSample));
  return {
    id,
    fromSeconds: startSample / recording.sampleRateHz,
    toSeconds: endSample / recording.sampleRateHz,
    fromSample: startSample,
    sampleCount: endSample - startSample,
    lowHz: own.lowHz ?? null,
    highHz: own.highHz ?? null,
    label: own.label ?? "",
    comment: own.comment ?? "",
    generator: own.generator ?? null,
    uuid: own.uuid ?? null,
    more: Object.fromEntries(Object.entries(more).map(([key, value]) => [key, plain(spelled, value)])),
  };
}

/**
 * The note with what was named changed, and every other key as it was, to the spelling of its numbers. What is named
 * but not new changes nothing either.
 */
export function changedNote(note: StoredNote, change: NoteChangeBody, recording: Measured): StoredNote {
  const spelled = readSpelledJson(`[${note.annotation},${JSON.stringify(change)}]`);
  const old: Json = Array.isArray(spelled.value) ? { ...spelled.value[0] } : {};
  const now = noteBody(note, recording);
  const put = (key: string, value: unknown, before: unknown) => {
    if (value === undefined || value === before) return;
    if (value === null || value === "") delete old[key];
    else old[key] = value;
  };
  const { fromSample, sampleCount } = placeOf(change, now, recording);
  put("core:sample_start", fromSample, now.fromSample);
  put("core:sample_count", sampleCount, now.sampleCount);
  // One that its capture ended does so no longer once it begins elsewhere.
  if (fromSample !== now.fromSample && old["core:sample_count"] === undefined) old["core:sample_count"] = sampleCount;
  put("core:freq_lower_edge", change.lowHz, now.lowHz);
  put("core:freq_upper_edge", change.highHz, now.highHz);
  put("core:label", change.label, now.label);
  put("core:comment", change.comment, now.comment);
  put("core:generator", change.generator, now.generator);
  put("core:uuid", change.uuid, now.uuid);
  for (const [key, value] of Object.entries(change.more ?? {})) {
    const same = Object.hasOwn(now.more, key) && JSON.stringify(now.more[key]) === JSON.stringify(value);
    if (value === null && !same) delete old[key];
    else if (!same) old[key] = value;
  }
  return { id: note.id, startSample: fromSample, annotation: spelled.print(old) };
}

/** Who wrote a note of which nobody says otherwise: a person, by this program. */
const NOTE_GENERATOR = "wheelgram note";

/** A note as it is written the first time. Unlike in a change, `null` is a value that a key of `more` may have. */
export function newNote(
  id: string,
  input: NoteChangeBody & { readonly uuid: string },
  recording: Measured,
): StoredNote {
  const { more = {}, generator = NOTE_GENERATOR, ...rest } = input;
  const { fromSample, sampleCount } = placeOf(rest, undefined, recording);
  const own = {
    "core:sample_start": fromSample,
    "core:sample_count": sampleCount,
    "core:freq_lower_edge": rest.lowHz ?? undefined,
    "core:freq_upper_edge": rest.highHz ?? undefined,
    "core:label": rest.label || undefined,
    "core:comment": rest.comment || undefined,
    "core:generator": generator ?? undefined,
    "core:uuid": rest.uuid,
  };
  return { id, startSample: fromSample, annotation: JSON.stringify({ ...own, ...more }) };
}

/** Samples are exact and come before seconds; what is not named stays where it is, and moves by its start. */
function placeOf(
  change: Pick<NoteChangeBody, "fromSample" | "sampleCount" | "fromSeconds" | "toSeconds">,
  now: Pick<NoteBody, "fromSample" | "sampleCount"> | undefined,
  { sampleRateHz, sampleCount: samples }: Measured,
): { readonly fromSample: number; readonly sampleCount: number } {
  const sampleAt = (seconds: number | undefined) =>
    // The end of a recording in seconds may be rounded past its last sample.
    seconds === undefined ? undefined : Math.min(samples, Math.round(seconds * sampleRateHz));
  const fromSample = change.fromSample ?? sampleAt(change.fromSeconds) ?? now?.fromSample ?? 0;
  const toSample = sampleAt(change.toSeconds);
  const sampleCount =
    change.sampleCount ?? (toSample === undefined ? (now?.sampleCount ?? 0) : Math.max(0, toSample - fromSample));
  return { fromSample, sampleCount };
}

/** Where the capture ends that `sample` lies in: an annotation without a count runs to there. */
function captureEnd({ captures, sampleCount }: Measured, sample: number): number {
  return captures.find(({ sampleStart }) => sampleStart > sample)?.sampleStart ?? sampleCount;
}

/** Keys of the core namespace that a note has by names of its own, beside where it starts. */
const CORE_KEYS = {
  sampleCount: "core:sample_count",
  lowHz: "core:freq_lower_edge",
  highHz: "core:freq_upper_edge",
  label: "core:label",
  comment: "core:comment",
  generator: "core:generator",
  uuid: "core:uuid",
} as const;

interface Own {
  readonly sampleCount: number | undefined;
  readonly lowHz: number | undefined;
  readonly highHz: number | undefined;
  readonly label: string | undefined;
  readonly comment: string | undefined;
  readonly generator: string | undefined;
  readonly uuid: string | undefined;
}

function sorted(spelled: SpelledJson): { readonly own: Own; readonly more: Json } {
  const all = spelled.value;
  if (typeof all !== "object" || all === null) throw new RangeError("an annotation that is no object");
  const keys = new Map<string, unknown>(Object.entries(all));
  const number = (key: string) => spelled.number(keys.get(key));
  const text = (key: string) => {
    const value = keys.get(key);
    return typeof value === "string" && spelled.number(value) === undefined ? value : undefined;
  };
  const count = number(CORE_KEYS.sampleCount);
  const own: Own = {
    sampleCount: count !== undefined && Number.isSafeInteger(count) && count >= 0 ? count : undefined,
    lowHz: number(CORE_KEYS.lowHz),
    highHz: number(CORE_KEYS.highHz),
    label: text(CORE_KEYS.label),
    comment: text(CORE_KEYS.comment),
    generator: text(CORE_KEYS.generator),
    uuid: text(CORE_KEYS.uuid),
  };
  const names = ["sampleCount", "lowHz", "highHz", "label", "comment", "generator", "uuid"] as const;
  const isOwn = new Set<string>(names.filter((name) => own[name] !== undefined).map((name) => CORE_KEYS[name]));
  isOwn.add("core:sample_start");
  return { own, more: Object.fromEntries([...keys].filter(([key]) => !isOwn.has(key))) };
}

/** With its numbers as JSON numbers, rounded to 53 bits where they have more. */
function plain(spelled: SpelledJson, value: unknown): unknown {
  const inside = JSON.parse(spelled.print([value]));
  return inside[0];
}
