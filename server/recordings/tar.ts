import { createReadStream } from "node:fs";
import { finished } from "node:stream/promises";
import { extract, type Header } from "tar-stream";
import { BLOCK_BYTES } from "./blocks.ts";
import { InputError, printable } from "./inputError.ts";
import { MAX_METADATA_BYTES } from "./metadata.ts";
import { fail, type Result, succeed } from "./result.ts";

/** One file of an archive and where its bytes lie. */
export interface TarEntry {
  readonly name: string;
  readonly isFile: boolean;
  readonly at: number;
  readonly bytes: number;
  /** Only of those that were asked for. */
  readonly content: Uint8Array | undefined;
}

/**
 * What a tar archive holds, in its order; file contents pass by and are not kept, but for those that `keep` names.
 *
 * @param archiveBytes Its size, to tell whether it is whole.
 * @source POSIX.1-2001, pax interchange format: blocks of 512 bytes, and two of zeros at the end.
 */
export async function readTar(
  path: string,
  archiveBytes: number,
  keep: (name: string) => boolean,
): Promise<Result<readonly TarEntry[], InputError>> {
  const entries: TarEntry[] = [];
  const names = new Set<string>();
  let end = 0;
  try {
    for await (const { header, content } of walkTar(path)) {
      const name = header.name.replace(/^(\.\/)+/, "");
      const at = placeOf(header);
      const bytes = header.size ?? 0;
      end = at + bytes + ((512 - (bytes % 512)) % 512);
      const fault = faultOf(header, entries.length);
      if (fault) return fail(new InputError(path, `byte ${at}`, ...fault));
      const kept = header.type === "file" && keep(name);
      if (kept && bytes > MAX_METADATA_BYTES) {
        return fail(new InputError(path, `byte ${at}`, `${bytes} bytes of metadata`, `at most ${MAX_METADATA_BYTES}`));
      }
      // Resource forks that some systems put beside each file are no files of the recording.
      if (/(^|\/)\._[^/]*$/.test(name)) continue;
      const isFile = header.type === "file" || header.type === "contiguous-file";
      if (isFile && names.has(name)) {
        return fail(new InputError(path, `byte ${at}`, `a second ${printable(name)}`, "each name once"));
      }
      names.add(name);
      entries.push({ name, isFile, at, bytes, content: kept ? await collect(content) : undefined });
    }
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    if ("code" in error && error.code !== undefined) throw error;
    return fail(brokenTar(path, archiveBytes, end, error.message));
  }
  if (entries.length === 0) return fail(new InputError(path, "byte 0", "no files", "a tar archive with one recording"));
  if (archiveBytes < end + 512) return fail(cutShort(path, archiveBytes));
  return succeed(entries);
}

/** More than any recording needs, and few enough to be looked through at once. */
const MOST_ENTRIES = 1000;

/** What no archive of a recording has in it. Nothing is unpacked, so it could do no harm; but it tells of ill will. */
function faultOf(header: Header, before: number): readonly [found: string, allowed: string] | undefined {
  const name = printable(header.name);
  if (before >= MOST_ENTRIES) return [`more than ${MOST_ENTRIES} files`, `at most ${MOST_ENTRIES}`];
  if (header.type === "symlink" || header.type === "link") return [`${name}, a link`, "files and folders alone"];
  if (/^[/\\]|^[a-z]:/i.test(header.name)) return [`${name}, a place outside the archive`, "names below the archive"];
  if (header.name.split(/[/\\]/).includes("..")) return [`${name}, which leads out of the archive`, "names without .."];
  return undefined;
}

interface WalkedEntry {
  readonly header: Header;
  /** To be read, or left: what is left is passed over. */
  readonly content: AsyncIterable<unknown>;
}

/** Each entry of a tar archive as it passes. Throws what the file system and the tar reader throw. */
async function* walkTar(path: string): AsyncGenerator<WalkedEntry, void, undefined> {
  const tar = extract();
  const file = createReadStream(path, { highWaterMark: BLOCK_BYTES });
  file.on("error", (error) => tar.destroy(error));
  file.pipe(tar);
  try {
    for await (const entry of tar) {
      yield { header: entry.header, content: entry };
      entry.resume();
    }
  } finally {
    file.destroy();
    await finished(file).catch(() => undefined); // closed early on purpose
  }
}

async function collect(content: AsyncIterable<unknown>): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of content) if (chunk instanceof Uint8Array) chunks.push(chunk);
  return Buffer.concat(chunks);
}

/** The reader knows where a content starts, its type description does not. */
function placeOf(header: Header): number {
  const place: unknown = "byteOffset" in header ? header.byteOffset : undefined;
  if (typeof place !== "number") throw new RangeError("the tar reader tells no byteOffset");
  return place;
}

function brokenTar(path: string, archiveBytes: number, end: number, because: string): InputError {
  if (/unexpected end/i.test(because)) return cutShort(path, archiveBytes);
  return new InputError(path, `byte ${end}`, "no header of a tar entry", "a tar archive that is whole and not packed");
}

function cutShort(path: string, archiveBytes: number): InputError {
  return new InputError(
    path,
    `byte ${archiveBytes}`,
    "the end, it is cut short",
    "a whole tar archive with its end mark",
  );
}
