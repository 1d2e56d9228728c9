import { createHash } from "node:crypto";
import { type FileHandle, open, rm, stat } from "node:fs/promises";
import { BLOCK_BYTES } from "./blocks.ts";
import { InputError } from "./inputError.ts";
import type { Origin } from "./recording.ts";
import { readTar, type TarEntry } from "./tar.ts";

/**
 * Copies an archive to `path`, with other metadata in the place of the old; every other byte stays as it is, but for
 * the hash by which a collection in the archive knows the metadata.
 *
 * @throws InputError, and what the file system throws: EEXIST if there is a file at `path` already.
 * @source POSIX.1-2001, ustar header block; SigMF specification 1.2.5, "SigMF Recording Objects".
 */
export async function annotatedArchive(
  origin: Extract<Origin, { kind: "archive" }>,
  metadata: Buffer,
  path: string,
): Promise<void> {
  const { size } = await stat(origin.path);
  const isReplaced = (name: string) => name === origin.metaName || name.endsWith(COLLECTION_SUFFIX);
  const entries = await readTar(origin.path, size, isReplaced);
  if (!entries.ok) throw entries.error;
  const oldHash = sha512(origin.metadata.bytes);
  const newHash = sha512(metadata);

  const target = await open(path, "wx");
  try {
    const source = await open(origin.path, "r");
    try {
      let at = 0;
      for (const entry of entries.value.filter((one) => one.content !== undefined)) {
        await copy(source, target, at, entry.at - 512);
        const isMetadata = entry.name === origin.metaName;
        const content = isMetadata ? metadata : withHash(entry, oldHash, newHash);
        const header = await readExactly(source, entry.at - 512, 512);
        await target.write(resized(origin.path, header, entry, content.length));
        await target.write(padded(content));
        at = entry.at + Math.ceil(entry.bytes / 512) * 512;
      }
      await copy(source, target, at, size);
      await target.sync();
    } finally {
      await source.close();
    }
  } catch (error) {
    await rm(path, { force: true });
    throw error;
  } finally {
    await target.close();
  }
}

const COLLECTION_SUFFIX = ".sigmf-collection";

function withHash(entry: TarEntry, oldHash: string, newHash: string): Buffer {
  const text = Buffer.from(entry.content ?? []).toString("latin1"); // one character a byte, whatever the bytes are
  return Buffer.from(text.replace(new RegExp(oldHash, "gi"), newHash), "latin1");
}

function sha512(bytes: Uint8Array): string {
  return createHash("sha512").update(bytes).digest("hex");
}

/** The header block of an entry for a content of another size: the size in octal, and the sum over the block. */
function resized(archive: string, header: Buffer, entry: TarEntry, bytes: number): Buffer {
  if (readOctal(header, 124) !== entry.bytes) {
    throw new InputError(
      archive,
      `byte ${entry.at - 512}`,
      "a size told elsewhere",
      "a size in the entry's own header",
    );
  }
  const block = Buffer.from(header);
  block.write(`${bytes.toString(8).padStart(11, "0")}\0`, 124, "latin1");
  block.fill(0x20, 148, 156);
  const sum = block.reduce((total, byte) => total + byte, 0);
  block.write(`${sum.toString(8).padStart(6, "0")}\0 `, 148, "latin1");
  return block;
}

function readOctal(header: Buffer, at: number): number {
  return Number.parseInt(header.toString("latin1", at, at + 12).replace(/[\0 ]/g, ""), 8);
}

function padded(content: Buffer): Buffer {
  return Buffer.concat([content, Buffer.alloc((512 - (content.length % 512)) % 512)]);
}

async function copy(source: FileHandle, target: FileHandle, from: number, to: number): Promise<void> {
  for (let at = from; at < to; ) {
    const block = await readExactly(source, at, Math.min(BLOCK_BYTES, to - at));
    await target.write(block);
    at += block.length;
  }
}

async function readExactly(source: FileHandle, at: number, length: number): Promise<Buffer> {
  const block = Buffer.alloc(length);
  let filled = 0;
  while (filled < length) {
    const { bytesRead } = await source.read(block, filled, length - filled, at + filled);
    if (bytesRead === 0) throw new RangeError(`the archive ended at byte ${at + filled} while it was copied`);
    filled += bytesRead;
  }
  return block;
}
