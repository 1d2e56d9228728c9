import { randomUUID } from "node:crypto";
import { type FileHandle, mkdir, open, readdir, readFile, rename, rm, stat, truncate } from "node:fs/promises";
import { join } from "node:path";
import { z } from "zod";
import { UploadNewBody } from "./wire.ts";

// An upload that comes in pieces lies in a folder of its own below `incoming`: `upload.json` says what it is and how much
// of it is on disk, and beside it are its bytes, metadata and samples as two files.

/** What is kept of an upload between two starts of the server. */
const UploadRecord = z.strictObject({
  version: z.literal(1),
  id: z.string(),
  said: UploadNewBody,
  offset: z.int().min(0),
  /** Milliseconds since 1970. */
  touchedMs: z.number(),
  hash: z.string().nullable(),
  because: z.string().nullable(),
  refused: z.boolean(),
});
export type UploadRecord = z.infer<typeof UploadRecord>;

const BEGINNING = "upload-";

export function uploadFolder(incomingDir: string, id: string): string {
  return join(incomingDir, BEGINNING + id);
}

/** Where the bytes of an upload go; `ending` of what is not two files, empty where its content has to tell. */
export function uploadFiles(folder: string, ending: string): { readonly meta: string; readonly data: string } {
  const data = ending === ".sigmf-data" ? ending : ending || ".whole";
  return { meta: join(folder, "recording.sigmf-meta"), data: join(folder, `recording${data}`) };
}

export async function newUpload(incomingDir: string, said: UploadNewBody, nowMs: number): Promise<UploadRecord> {
  const id = randomUUID();
  const record: UploadRecord = {
    version: 1,
    id,
    said,
    offset: 0,
    touchedMs: nowMs,
    hash: null,
    because: null,
    refused: false,
  };
  await mkdir(uploadFolder(incomingDir, id));
  await saveUpload(incomingDir, record);
  return record;
}

/** On disk when it settles, whole or as it was before. */
export async function saveUpload(incomingDir: string, record: UploadRecord): Promise<void> {
  const path = join(uploadFolder(incomingDir, record.id), "upload.json");
  const file = await open(`${path}.new`, "w");
  try {
    await file.writeFile(JSON.stringify(record));
    await file.datasync();
  } finally {
    await file.close();
  }
  await rename(`${path}.new`, path);
}

/**
 * The uploads of an earlier run that can go on; all else below `incoming` that is not in `spared` is taken away.
 *
 * @returns How many halves went, and what is left.
 */
export async function readUploads(
  incomingDir: string,
  isSpared: (name: string) => boolean,
): Promise<{ readonly uploads: readonly UploadRecord[]; readonly halves: number }> {
  const uploads: UploadRecord[] = [];
  let halves = 0;
  for (const name of await readdir(incomingDir)) {
    if (isSpared(name)) continue;
    const record = name.startsWith(BEGINNING) ? await readUpload(join(incomingDir, name)) : undefined;
    if (record && BEGINNING + record.id === name) {
      uploads.push(record);
      continue;
    }
    await rm(join(incomingDir, name), { recursive: true, force: true });
    halves++;
  }
  return { uploads, halves };
}

async function readUpload(folder: string): Promise<UploadRecord | undefined> {
  try {
    return UploadRecord.parse(JSON.parse(await readFile(join(folder, "upload.json"), "utf8")));
  } catch {
    return undefined; // cut short before it was an upload
  }
}

/** Open files of an upload, written at its own offsets. */
export interface UploadWriter {
  readonly write: (bytes: Uint8Array, offset: number) => Promise<void>;
  /** All that was written is on disk when this settles. */
  readonly sync: () => Promise<void>;
  readonly close: () => Promise<void>;
}

export async function openUpload(
  { meta, data }: { readonly meta: string; readonly data: string },
  metaBytes: number,
): Promise<UploadWriter> {
  const files: FileHandle[] = [];
  try {
    const dataFile = await openOrMake(data);
    files.push(dataFile);
    const metaFile = metaBytes > 0 ? await openOrMake(meta) : undefined;
    if (metaFile) files.push(metaFile);
    return {
      async write(bytes, offset) {
        const inMeta = Math.min(bytes.length, Math.max(0, metaBytes - offset));
        if (metaFile && inMeta > 0) await writeAt(metaFile, bytes.subarray(0, inMeta), offset);
        if (inMeta < bytes.length) await writeAt(dataFile, bytes.subarray(inMeta), offset + inMeta - metaBytes);
      },
      sync: async () => void (await Promise.all(files.map((file) => file.datasync()))),
      close: async () => void (await Promise.all(files.map((file) => file.close()))),
    };
  } catch (error) {
    for (const file of files) await file.close();
    throw error;
  }
}

function openOrMake(path: string): Promise<FileHandle> {
  return open(path, "r+").catch((error: unknown) => {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return open(path, "wx+");
    throw error;
  });
}

async function writeAt(file: FileHandle, bytes: Uint8Array, offset: number): Promise<void> {
  for (let done = 0; done < bytes.length; ) {
    done += (await file.write(bytes, done, bytes.length - done, offset + done)).bytesWritten;
  }
}

/** Bytes beyond the last that was told to be on disk may be anything. */
export async function cutUpload(
  { meta, data }: { readonly meta: string; readonly data: string },
  metaBytes: number,
  offset: number,
): Promise<void> {
  if (metaBytes > 0) await cutFile(meta, Math.min(metaBytes, offset));
  await cutFile(data, Math.max(0, offset - metaBytes));
}

async function cutFile(path: string, bytes: number): Promise<void> {
  const there = await stat(path).catch(() => undefined);
  if (there && there.size > bytes) await truncate(path, bytes);
}
