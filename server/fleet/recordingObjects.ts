import { createHash } from "node:crypto";
import { open } from "node:fs/promises";
import type { DataAt } from "../recordings/openSigmf.ts";
import type { Objects } from "./objects.ts";

// A file of samples in the bucket: parts under its SHA-512 and their number, and under the SHA-512 alone, once all of
// them are there, how they go together. What broke off goes on at the part where it broke off.

/** Of a part; it is held in memory while it is sent. */
const PART_BYTES = 8 * 2 ** 20;

interface FileEntry {
  readonly bytes: number;
  readonly parts: number;
}

/** Sends a stretch of a file; parts that are there already are not sent again. @returns How many bytes were sent. */
export async function putFile(objects: Objects, hash: string, { path, fromByte, bytes }: DataAt): Promise<number> {
  if (await objects.has(hash)) return 0;
  const file = await open(path);
  const parts = Math.ceil(bytes / PART_BYTES);
  let sent = 0;
  try {
    for (let part = 0; part < parts; part++) {
      const size = Math.min(PART_BYTES, bytes - part * PART_BYTES);
      if (await objects.has(partOf(hash, part))) continue;
      const buffer = Buffer.alloc(size);
      const { bytesRead } = await file.read(buffer, 0, size, fromByte + part * PART_BYTES);
      if (bytesRead !== size) throw new Error("The recording's file ended before its samples did.");
      if ((await objects.put(partOf(hash, part), buffer)) === "sent") sent += size;
    }
  } finally {
    await file.close();
  }
  await objects.put(hash, Buffer.from(JSON.stringify({ bytes, parts } satisfies FileEntry)));
  return sent;
}

/**
 * Fetches a file into `to`, and looks whether it is what its name says.
 *
 * @returns `false` where the bucket has none of that hash.
 * @throws Error where what came is not of that hash; it is then taken out of the bucket, so that it can be sent anew.
 */
export async function getFile(objects: Objects, hash: string, to: string, onPart?: () => void): Promise<boolean> {
  const entry = await objects.get(hash);
  if (entry === undefined) return false;
  const { parts } = JSON.parse(Buffer.from(entry).toString()) as FileEntry;
  const sum = createHash("sha512");
  const file = await open(to, "w");
  try {
    for (let part = 0; part < parts; part++) {
      const bytes = await objects.get(partOf(hash, part));
      if (bytes === undefined) return false;
      sum.update(bytes);
      await file.write(bytes);
      onPart?.();
    }
  } finally {
    await file.close();
  }
  if (sum.digest("hex") === hash) return true;
  await removeFile(objects, hash);
  throw new Error("What the object store gave is not the recording that was put in. It was taken out of the store.");
}

export async function removeFile(objects: Objects, hash: string): Promise<void> {
  const entry = await objects.get(hash);
  if (entry === undefined) return;
  const { parts } = JSON.parse(Buffer.from(entry).toString()) as FileEntry;
  await objects.remove(hash);
  for (let part = 0; part < parts; part++) await objects.remove(partOf(hash, part));
}

/** The name of the text that says what a recording came with. */
export function originalName(hash: string): string {
  return `${hash}.original`;
}

function partOf(hash: string, part: number): string {
  return `${hash}.${part}`;
}
