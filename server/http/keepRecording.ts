import { createHash, randomUUID } from "node:crypto";
import { type FileHandle, mkdir, open, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { InputError } from "../recordings/inputError.ts";
import { openRecording } from "../recordings/openRecording.ts";
import { type Recording, type RecordingHints, sampleBytes } from "../recordings/recording.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import type { DataFolder } from "../store/dataFolder.ts";
import type { Store, StoredRecording } from "../store/store.ts";
import { timeText } from "../store/timeText.ts";
import { createEnvelope } from "./envelope.ts";
import type { OneAtATime } from "./oneAtATime.ts";
import { recordingFiles, removeRecordingFiles } from "./recordingFiles.ts";

export interface NewRecording {
  /** Where it lies now; it is only read. */
  readonly path: string;
  /** What people call it. */
  readonly name: string;
  readonly hints?: RecordingHints;
  readonly sample: boolean;
  readonly addedAt: string;
}

export interface KeptRecording {
  readonly recording: StoredRecording;
  /** The same samples were there before; they stay as they were. */
  readonly known: boolean;
}

/**
 * Copies the samples of a recording into the data folder, under their hash, and puts it into the store. The samples
 * pass once: hash, copy and envelope are made of the same blocks.
 *
 * @param oneAtATime Shared by all that puts files of recordings in place or takes them away.
 * @returns What is wrong with the recording, if it cannot be read; nothing of it is then kept.
 */
export async function keepRecording(
  store: Pick<Store, "addRecording" | "recording">,
  folder: DataFolder,
  oneAtATime: OneAtATime,
  given: NewRecording,
): Promise<Result<KeptRecording, InputError>> {
  const opened = await openRecording(given.path, given.hints);
  if (!opened.ok) return opened;
  const recording = opened.value;
  const incoming = join(folder.incomingDir, randomUUID());
  await mkdir(incoming);
  try {
    const copied = join(incoming, "samples");
    const envelope = join(incoming, "envelope");
    const { hash, sampleCount } = await copySamples(recording, copied, envelope);
    const stored = storedRecording(given, recording, hash, sampleCount);
    const texts = {
      original: JSON.stringify(originalOf(given, recording), undefined, 2),
      meta: JSON.stringify(metadataOf(stored), undefined, 2),
    };
    return succeed(await oneAtATime(() => putInPlace(store, folder, stored, { copied, envelope, ...texts })));
  } catch (error) {
    if (error instanceof InputError) return fail(error);
    throw error;
  } finally {
    await rm(incoming, { recursive: true, force: true });
  }
}

/** Two may bring the same samples at once, or one may bring them while another takes them away. */
async function putInPlace(
  store: Pick<Store, "addRecording" | "recording">,
  folder: DataFolder,
  stored: StoredRecording,
  parts: { readonly copied: string; readonly envelope: string; readonly original: string; readonly meta: string },
): Promise<KeptRecording> {
  const before = await store.recording(stored.hash);
  if (before) return { recording: before, known: true };
  const files = recordingFiles(folder, stored.hash);
  try {
    // The samples come last: where they are, all else is.
    await writeFile(files.original, parts.original);
    await writeFile(files.meta, parts.meta);
    await rename(parts.envelope, files.envelope);
    await rename(parts.copied, files.data);
    await store.addRecording(stored);
  } catch (error) {
    await removeRecordingFiles(folder, stored.hash);
    throw error;
  }
  return { recording: stored, known: false };
}

/** @throws InputError at a sample that is not finite, or where the file ends early. */
async function copySamples(
  recording: Recording,
  copyPath: string,
  envelopePath: string,
): Promise<{ readonly hash: string; readonly sampleCount: number }> {
  const hash = createHash("sha512");
  const envelope = createEnvelope(recording.sampleType);
  const size = sampleBytes(recording.sampleType);
  let bytes = 0;
  const file = await open(copyPath, "w");
  try {
    for await (const block of recording.blocks) {
      hash.update(block);
      envelope.take(block);
      await writeAll(file, block);
      bytes += block.length;
    }
    await file.sync();
  } finally {
    await file.close();
  }
  await envelope.write(envelopePath);
  return { hash: hash.digest("hex"), sampleCount: bytes / size };
}

async function writeAll(file: FileHandle, block: Uint8Array): Promise<void> {
  for (let at = 0; at < block.length; ) at += (await file.write(block, at)).bytesWritten;
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

/** What the stored samples need to be read again: one header less, captures counted from their first sample. */
function metadataOf(recording: StoredRecording): unknown {
  return {
    global: {
      "core:version": "1.2.5",
      "core:datatype": recording.sampleType,
      "core:sample_rate": recording.sampleRateHz,
      "core:sha512": recording.hash,
    },
    captures: recording.captures.map(({ sampleStart, carrierHz }, i) => ({
      "core:sample_start": sampleStart,
      ...(carrierHz === null ? {} : { "core:frequency": carrierHz }),
      ...(i === 0 && recording.startedAt !== null ? { "core:datetime": recording.startedAt } : {}),
    })),
    annotations: [],
  };
}

function originalOf(given: NewRecording, { origin }: Recording): unknown {
  const metadata =
    origin.kind === "sigmf" || origin.kind === "archive"
      ? JSON.parse(
          Buffer.from(origin.metadata.bytes)
            .toString("utf8")
            .replace(/^\uFEFF/, ""),
        )
      : null;
  return { version: 1, name: given.name, addedAt: given.addedAt, hints: given.hints ?? {}, metadata };
}
