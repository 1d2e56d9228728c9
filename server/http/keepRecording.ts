import { randomUUID } from "node:crypto";
import { link, mkdir, open, rename, rm, stat, writeFile } from "node:fs/promises";
import { join, relative, sep } from "node:path";
import { importedNotes, newAmong } from "../recordings/importedNotes.ts";
import { InputError } from "../recordings/inputError.ts";
import { openRecording } from "../recordings/openRecording.ts";
import type { Recording, RecordingHints, SamplesPlace } from "../recordings/recording.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { storedMetadata } from "../recordings/storedMetadata.ts";
import type { TakeOptions } from "../recordings/takeSamples.ts";
import type { DataFolder } from "../store/dataFolder.ts";
import type { Store, StoredNote, StoredPlace, StoredRecording } from "../store/store.ts";
import { timeText } from "../store/timeText.ts";
import type { Taker } from "../work/taker.ts";
import type { OneAtATime } from "./oneAtATime.ts";
import { placeState, recordingFiles, removeRecordingFiles } from "./recordingFiles.ts";

export interface NewRecording {
  /** Where it lies now; it is only read. */
  readonly path: string;
  /** What people call it. */
  readonly name: string;
  readonly hints?: RecordingHints;
  readonly sample: boolean;
  readonly addedAt: string;
  /** The file was brought for this alone: samples that are the whole of it are taken over, not copied. */
  readonly own?: boolean;
  /** It lies in the folder of what is read in place, and stays there. */
  readonly inPlace?: boolean;
  /** Share done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
  readonly signal?: AbortSignal;
}

export interface KeptRecording {
  readonly recording: StoredRecording;
  /** The same samples were there before; they stay as they were. */
  readonly known: boolean;
}

/** What a recording needs to be kept. */
export interface Keeper {
  readonly store: Pick<Store, "addRecording" | "recording" | "recordings" | "setPlace" | "notesOf" | "putNotes">;
  readonly folder: DataFolder;
  readonly taker: Pick<Taker, "take">;
  /** Shared by all that puts files of recordings in place or takes them away. */
  readonly oneAtATime: OneAtATime;
}

/**
 * Puts a recording into the store and its samples into the data folder, under their hash; one that is read in place
 * leaves them where they are. The samples pass once: hash, envelope and, where it is needed, the copy are made of the
 * same blocks.
 *
 * @returns What is wrong with the recording, if it cannot be read; nothing of it is then kept.
 * @throws DOMException `AbortError` once `given.signal` is aborted.
 */
export async function keepRecording(keeper: Keeper, given: NewRecording): Promise<Result<KeptRecording, InputError>> {
  const { folder, oneAtATime, taker } = keeper;
  const { path, hints = {} } = given;
  const opened = await openRecording(path, hints);
  if (!opened.ok) return opened;
  const recording = opened.value;
  const incoming = join(folder.incomingDir, randomUUID());
  await mkdir(incoming);
  try {
    const whole = given.own === true && (await isWholeFile(recording.place)) ? recording.place?.path : undefined;
    const samples = whole ?? (given.inPlace ? undefined : join(incoming, "samples"));
    const envelope = join(incoming, "envelope");
    const place = given.inPlace ? await placeOf(folder, recording) : undefined;
    const { hash, sampleCount } = await taker.take(
      { path, hints },
      { copyTo: whole === undefined ? samples : undefined, envelopeTo: envelope, ...stepsOf(given) },
    );
    if (place && (await placeState(folder, place)) !== "there") {
      return fail(
        new InputError(given.name, "file", "a file that changed while it was read", "one that stays as it is"),
      );
    }
    const stored = { ...storedRecording(given, recording, hash, sampleCount), ...(place ? { place } : {}) };
    const notes = importedNotes(recording, () => randomUUID().replaceAll("-", "").slice(0, 12));
    const texts = {
      original: originalText(given, recording),
      meta: JSON.stringify(storedMetadata(stored), undefined, 2),
    };
    return succeed(await oneAtATime(() => putInPlace(keeper, stored, notes, { samples, envelope, ...texts })));
  } catch (error) {
    if (error instanceof InputError) return fail(error);
    throw error;
  } finally {
    await rm(incoming, { recursive: true, force: true });
  }
}

function stepsOf({ onProgress, signal }: NewRecording): Pick<TakeOptions, "onProgress" | "signal"> {
  return { ...(onProgress ? { onProgress } : {}), ...(signal ? { signal } : {}) };
}

async function isWholeFile(place: SamplesPlace | undefined): Promise<boolean> {
  const [piece, ...others] = place?.pieces ?? [];
  if (!place || !piece || others.length > 0 || piece.from !== 0) return false;
  return (await stat(place.path)).size === piece.to;
}

/** @throws InputError for samples that do not lie in one stretch. */
async function placeOf({ inPlaceDir }: DataFolder, { file, place }: Recording): Promise<StoredPlace> {
  const [piece, ...others] = place?.pieces ?? [];
  if (!place || !piece || others.length > 0) {
    const allowed = "samples in one stretch; add it by the page instead, which copies them";
    throw new InputError(file, "samples", `${others.length + 1} stretches with headers between them`, allowed);
  }
  const { size, mtimeMs } = await stat(place.path);
  const path = relative(inPlaceDir, place.path).split(sep).join("/");
  return { path, fromByte: piece.from, fileBytes: size, changedMs: mtimeMs };
}

/** Two may bring the same samples at once, or one may bring them while another takes them away. */
async function putInPlace(
  { store, folder }: Keeper,
  stored: StoredRecording,
  notes: readonly StoredNote[],
  parts: {
    /** Lies in a folder of the same disk; `undefined` for samples that are read where they lie. */
    readonly samples: string | undefined;
    readonly envelope: string;
    readonly original: string;
    readonly meta: string;
  },
): Promise<KeptRecording> {
  const before = await store.recording(stored.hash);
  const files = recordingFiles(folder, stored.hash);
  if (before) {
    // A file that comes back may have been written on meanwhile; what is here is not written over by it.
    const added = newAmong(notes, await store.notesOf(stored.hash));
    if (added.length > 0) await store.putNotes(stored.hash, added);
    if (before.place && !stored.place && parts.samples !== undefined) {
      // Read in place until its file went: what came now takes its place.
      if ((await placeState(folder, before.place)) === "there") return { recording: before, known: true };
      await second(parts.samples, files.data);
      await writeFile(files.meta, parts.meta);
      await store.setPlace(stored.hash, undefined);
      const { place: _, ...own } = before;
      return { recording: own, known: true };
    }
    if (!before.place || !stored.place) return { recording: before, known: true };
    await writeFile(files.meta, parts.meta);
    await store.setPlace(stored.hash, stored.place);
    return { recording: { ...before, place: stored.place }, known: true };
  }
  try {
    // The samples come last: where they are, all else is.
    await writeFile(files.original, parts.original);
    await writeFile(files.meta, parts.meta);
    await rename(parts.envelope, files.envelope);
    if (parts.samples !== undefined) await second(parts.samples, files.data);
    await store.addRecording(stored, notes);
  } catch (error) {
    if (parts.samples !== undefined) await firstAgain(parts.samples, files.data);
    await removeRecordingFiles(folder, stored.hash);
    throw error;
  }
  return { recording: stored, known: false };
}

/**
 * A second name for a file. Its first one stays until whoever brought it takes it away, so that an end of the process
 * between the file and its row in the store loses nothing: it is then put in again.
 */
async function second(path: string, name: string): Promise<void> {
  const file = await open(path, "r+");
  await file.sync().finally(() => file.close());
  await rm(name, { force: true });
  // A disk without second names moves the file instead.
  await link(path, name).catch(() => rename(path, name));
}

/** On a disk without second names the samples were moved: whoever brought them has them back, or all would be sent again. */
async function firstAgain(path: string, name: string): Promise<void> {
  const isThere = await stat(path).then(
    () => true,
    () => false,
  );
  if (!isThere) await rename(name, path).catch(() => undefined); // they never came that far
}

function storedRecording(
  given: NewRecording,
  recording: Recording,
  hash: string,
  sampleCount: number,
): StoredRecording {
  return {
    hash,
    name: given.name,
    sampleType: recording.sampleType,
    sampleRateHz: recording.sampleRateHz,
    sampleCount,
    captures: recording.captures.map(({ sampleStart, carrierHz }) => ({ sampleStart, carrierHz: carrierHz ?? null })),
    startedAt: startedAt(recording),
    addedAt: given.addedAt,
    sample: given.sample,
    analysis: { state: "waiting", because: null, progress: 0 },
    summary: null,
  };
}

/** Of the first sample; `null` where the recording does not say, or says what is no time. */
function startedAt({ origin, captures, sampleRateHz }: Recording): string | null {
  if (origin.kind !== "sigmf" && origin.kind !== "archive") return null;
  const said = origin.metadata.captures[0]?.["core:datetime"];
  // A time that belongs to a later sample is not that of the first one.
  if (typeof said !== "string" || !(sampleRateHz > 0) || captures[0]?.sampleStart !== 0) return null;
  try {
    return timeText(said);
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** The metadata go in as they are spelled: numbers of more than 53 bits are not rounded on their way. */
function originalText(given: NewRecording, { origin }: Recording): string {
  const metadata =
    origin.kind === "sigmf" || origin.kind === "archive"
      ? Buffer.from(origin.metadata.bytes)
          .toString("utf8")
          .replace(/^\uFEFF/, "")
      : "null";
  const { name, addedAt, hints = {} } = given;
  const rest = JSON.stringify({ version: 1, name, addedAt, hints });
  return `${rest.slice(0, -1)},"metadata":${metadata}}\n`;
}
