import type { Capture, SampleType } from "../../decoders/sources.ts";
import { nanosecondsOf } from "../receivers/timeOfDay.ts";
import { timeOfNanoseconds } from "../receivers/timeOfNanoseconds.ts";
import { timeText } from "../store/timeText.ts";
import { EXTENSION, withExtension, withExtensions } from "./extension.ts";
import { readSpelledJson, type SpelledJson } from "./spelledJson.ts";

/** A stretch of a recording in samples from its first one, half open. */
export interface Stretch {
  readonly fromSample: number;
  readonly toSample: number;
}

export interface StretchSource {
  readonly recording: {
    /** Of all its samples. */
    readonly hash: string;
    readonly sampleType: SampleType;
    readonly sampleRateHz: number;
    readonly sampleCount: number;
    readonly captures: readonly { readonly sampleStart: number; readonly carrierHz: Capture["carrierHz"] | null }[];
  };
  /** JSON text of an object whose `metadata` are what it came with, or `null` where it came with none. */
  readonly original: string;
  /** JSON text of each note, its samples counted from the first one. */
  readonly notes: readonly string[];
  /** What analysis or a person marks besides, counted likewise. */
  readonly marks: readonly { readonly "core:sample_start": number; readonly "core:sample_count": number }[];
}

/**
 * The text of metadata for a recording, or for a stretch of it, once the hash of its
 * dataset is known. What the recording came with is kept to the spelling of its numbers.
 *
 * In a stretch everything is counted from its own first sample and core:offset goes, since many readers pass it over:
 * captures and annotations are moved and clipped, those outside are left out, times of day go on by where the stretch
 * begins. `wheelgram:cut_from` says what it was cut out of. What only a dataset with headers needs is left out.
 *
 * @param stretch `undefined` for all of it, which keeps core:offset and whatever lies past the end of its samples.
 * @source SigMF specification 1.2.5, "Global Object" to "Annotations Array".
 */
export function stretchMetadata(source: StretchSource, stretch: Stretch | undefined): (sha512: string) => string {
  const { recording, original, notes, marks } = source;
  const spelled = readSpelledJson(`[${original},[${notes.join(",")}],${JSON.stringify(marks)}]`);
  const [whole, noted, marked] = listOf(spelled.value);
  const came = objectOf(objectOf(whole)["metadata"]);
  const cameGlobal = objectOf(came["global"]);
  const offset = spelled.number(cameGlobal["core:offset"]) ?? 0;
  const cut = { spelled, recording, stretch, offset, shift: stretch === undefined ? offset : -stretch.fromSample };
  const annotations = [...listOf(noted), ...listOf(marked)]
    .flatMap((annotation) => annotationIn(cut, objectOf(annotation)))
    .sort((a, b) => startOf(cut, a) - startOf(cut, b));
  const captures = capturesIn(cut, listOf(came["captures"]).map(objectOf));
  const global = listed(globalOf(cut, cameGlobal), captures, annotations);
  return (sha512) =>
    `${spelled.print({ ...came, global: { ...global, "core:sha512": sha512 }, captures, annotations }, 2)}\n`;
}

type Json = Readonly<Record<string, unknown>>;

/** What belongs to another dataset than the one that is written: hash, headers, trailer, name. */
const OF_THE_DATASET = ["core:sha512", "core:dataset", "core:trailing_bytes", "core:metadata_only", "core:offset"];

interface Cut {
  readonly spelled: SpelledJson;
  readonly recording: StretchSource["recording"];
  /** `undefined`: all of it. */
  readonly stretch: Stretch | undefined;
  /** The index that the metadata it came with give its first sample. */
  readonly offset: number;
  /** What is added to a sample that is counted from the recording's first one. */
  readonly shift: number;
}

function startOf({ spelled }: Cut, entry: Json): number {
  return spelled.number(entry["core:sample_start"]) ?? 0;
}

/** None where it lies outside. @param annotation Counted from the recording's first sample. */
function annotationIn(cut: Cut, annotation: Json): Json[] {
  const { recording, stretch, shift, spelled } = cut;
  const start = startOf(cut, annotation);
  if (stretch === undefined) return [{ ...annotation, "core:sample_start": start + shift }];
  const { captures, sampleCount } = recording;
  const { fromSample, toSample } = stretch;
  const count = spelled.number(annotation["core:sample_count"]);
  const captureEnd = captures.find(({ sampleStart }) => sampleStart > start)?.sampleStart ?? sampleCount;
  const end = count === undefined ? Math.max(start, captureEnd) : start + count;
  const isInside = start === end ? start >= fromSample && start < toSample : start < toSample && end > fromSample;
  // A moment at the very end of the recording belongs to the stretch that ends there.
  const isLast = start === end && start === toSample && toSample === sampleCount;
  if (!isInside && !isLast) return [];
  const from = Math.max(start, fromSample);
  const clipped = { ...annotation, "core:sample_start": from + shift };
  // One without a count goes on to the end of its capture, wherever that is now.
  return [count === undefined ? clipped : { ...clipped, "core:sample_count": Math.min(end, toSample) - from }];
}

function capturesIn(cut: Cut, entries: readonly Json[]): Json[] {
  const { recording, stretch, offset, shift } = cut;
  const { captures, sampleCount } = recording;
  const said = entries.map((entry) => ({ entry, start: startOf(cut, entry) - offset }));
  const all = said.length > 0 ? said : captures.map(({ sampleStart }) => ({ entry: {}, start: sampleStart }));
  const withCarrier = (entry: Json, start: number): Json => {
    const { "core:header_bytes": _, ...rest } = entry;
    const carrierHz = captures.findLast(({ sampleStart }) => sampleStart <= start)?.carrierHz ?? null;
    return carrierHz === null || "core:frequency" in rest ? rest : { ...rest, "core:frequency": carrierHz };
  };
  if (stretch === undefined) {
    return all.map(({ entry, start }) => ({ "core:sample_start": start + shift, ...withCarrier(entry, start) }));
  }
  const { fromSample, toSample } = stretch;
  const there = all.filter(({ start }) => start < sampleCount);
  const first = there.findLast(({ start }) => start <= fromSample);
  return there
    .filter((one) => one === first || (one.start > fromSample && one.start < toSample))
    .map(({ entry, start }) => ({
      ...later(cut, withCarrier(entry, start), Math.max(0, fromSample - start)),
      "core:sample_start": Math.max(0, start + shift),
    }));
}

/** A capture that begins so many samples later: its time of day and its count of the source go on. */
function later({ spelled, recording }: Cut, capture: Json, samples: number): Json {
  if (samples === 0) return capture;
  const { "core:datetime": said, "core:global_index": counted, ...rest } = capture;
  const index = spelled.integer(counted);
  const nanoseconds = typeof said === "string" ? readTime(said) : undefined;
  const past = BigInt(Math.round((samples / recording.sampleRateHz) * 1e9));
  return {
    ...rest,
    ...(nanoseconds === undefined ? {} : { "core:datetime": timeOfNanoseconds(nanoseconds + past) }),
    ...(index === undefined ? {} : { "core:global_index": spelled.spell(index + BigInt(samples)) }),
  };
}

function globalOf({ spelled, recording, stretch, offset }: Cut, global: Json): Json {
  const { hash, sampleType, sampleRateHz } = recording;
  const kept = Object.fromEntries(Object.entries(global).filter(([key]) => !OF_THE_DATASET.includes(key)));
  const version = global["core:version"];
  const rate = global["core:sample_rate"];
  const all = {
    "core:datatype": sampleType,
    ...kept,
    "core:version": typeof version === "string" && /^\d+\.\d+\.\d+$/.test(version) ? version : "1.2.5",
    "core:sample_rate": spelled.number(rate) === sampleRateHz ? rate : sampleRateHz,
  };
  if (stretch === undefined) return offset === 0 ? all : { ...all, "core:offset": offset };
  const { fromSample, toSample } = stretch;
  const here = { hash, sampleStart: fromSample, sampleCount: toSample - fromSample };
  return { ...all, "wheelgram:cut_from": [...listOf(global["wheelgram:cut_from"]), here] };
}

/** `undefined` for what is no time: moved on it would be wrong, and as it stands too. */
function readTime(text: string): bigint | undefined {
  const exact = nanosecondsOf(text);
  if (exact !== undefined) return exact;
  try {
    return nanosecondsOf(timeText(text));
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** With every extension in core:extensions of which there are keys; of one that nobody named the version is not known. */
function listed(global: Json, captures: readonly Json[], annotations: readonly Json[]): Json {
  const keys = [global, ...captures, ...annotations].flatMap(Object.keys);
  const names = new Set(keys.map((key) => /^([A-Za-z_]\w*):/.exec(key)?.[1] ?? "core"));
  const others = [...names].filter((name) => name !== "core" && name !== EXTENSION.name);
  const unknown = others.map((name) => ({ name, version: "0.0.0", optional: true }));
  return withExtensions(withExtension(global, [...captures, ...annotations]), unknown);
}

function objectOf(value: unknown): Json {
  return typeof value === "object" && value !== null && !Array.isArray(value)
    ? Object.fromEntries(Object.entries(value))
    : {};
}

function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [];
}
