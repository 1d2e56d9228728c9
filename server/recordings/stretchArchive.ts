import { createHash } from "node:crypto";
import { once } from "node:events";
import { createReadStream } from "node:fs";
import type { Writable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { type Pack, pack } from "tar-stream";
import { BLOCK_BYTES } from "./blocks.ts";
import { EXTENSION_FILE, extensionText } from "./extension.ts";

export interface ArchiveParts {
  /** The name of its folder and of the recording in it. */
  readonly name: string;
  /** A file that holds samples and nothing else, and what of it goes in, in bytes, half open. */
  readonly data: { readonly path: string; readonly from: number; readonly to: number };
  readonly metadata: (sha512: string) => string;
  readonly at: Date;
}

/**
 * Writes a SigMF archive: samples, metadata, and the file that explains our own keys. The samples go first, so that
 * they pass once for copy and hash; memory does not grow with them.
 *
 * @returns Settles when all of it is written. Rejects with what the file system throws, and where `out` is closed early.
 * @source SigMF specification 1.2.5, "SigMF Archives"; POSIX.1-2001, pax interchange format.
 */
export async function writeStretchArchive(out: Writable, { name, data, metadata, at }: ArchiveParts): Promise<void> {
  const archive = pack();
  const written = pipeline(archive, out);
  written.catch(() => undefined); // told below
  const filled = (async () => {
    const entry = { mtime: at, mode: 0o644 };
    const sha512 = await addSamples(archive, { ...entry, name: `${name}/${name}.sigmf-data` }, data, written);
    archive.entry({ ...entry, name: `${name}/${name}.sigmf-meta` }, metadata(sha512));
    archive.entry({ ...entry, name: `${name}/${EXTENSION_FILE}` }, extensionText());
    archive.finalize();
  })();
  filled.catch((error: unknown) => archive.destroy(error instanceof Error ? error : new Error(String(error))));
  await Promise.all([filled, written]);
}

async function addSamples(
  archive: Pack,
  header: { readonly name: string; readonly mtime: Date; readonly mode: number },
  { path, from, to }: ArchiveParts["data"],
  ended: Promise<void>,
): Promise<string> {
  const hash = createHash("sha512");
  const entry = archive.entry({ ...header, size: to - from });
  entry.on("error", () => undefined); // of an archive that is closed early: told by `ended`
  const file = createReadStream(path, { start: from, end: to - 1, highWaterMark: BLOCK_BYTES });
  const over = ended.then(() => {
    throw new Error("the archive was closed before it was whole");
  });
  over.catch(() => undefined);
  try {
    for await (const chunk of file) {
      if (!(chunk instanceof Uint8Array)) throw new RangeError("a file that is read as text");
      hash.update(chunk);
      // Whoever went away asks for no more.
      if (!entry.write(chunk)) await Promise.race([once(entry, "drain"), over]);
    }
    entry.end(null);
    await Promise.race([once(entry, "finish"), over]);
  } finally {
    file.destroy();
  }
  return hash.digest("hex");
}
