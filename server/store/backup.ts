import { createHash } from "node:crypto";
import { createWriteStream, existsSync } from "node:fs";
import { type FileHandle, mkdtemp, open, rename, rm, stat } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { Readable, Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import Database from "better-sqlite3";
import { type Pack, pack } from "tar-stream";
import { BACKUP_VERSION, type BackupContents, CONTENTS, DATABASE, RECEIVERS, RECORDINGS } from "./backupContents.ts";
import { StoreError } from "./storeError.ts";
import { filesOfStudy, studyNames } from "./studyFilesKept.ts";

export interface BackupMade {
  readonly bytes: number;
  readonly recordings: number;
  readonly studies: number;
  /** Names of recordings whose samples lie elsewhere and are not in the backup. */
  readonly elsewhere: readonly string[];
  /** Names of recordings that were taken away while the backup was made. */
  readonly gone: readonly string[];
}

/**
 * Everything that a data folder keeps, in one tar file, while its server goes on running: the store as it was at one
 * moment, and the samples of every recording in it. The file is there whole or not at all.
 *
 * @param folder The data folder, which is only read.
 * @param file Must not be there yet.
 * @param madeAt RFC 3339.
 * @throws StoreError for a folder without a store, a damaged store, and a file that cannot be written or is there.
 */
export async function makeBackup(folder: string, file: string, madeAt: string): Promise<BackupMade> {
  const source = join(folder, DATABASE);
  if (!existsSync(source)) {
    throw new StoreError("unreachable", folder, "no data folder of Wheelgram", "Name the one to keep with --data.");
  }
  if (existsSync(file)) {
    throw new StoreError("unreachable", file, "there already", "Choose another name; nothing was written over.");
  }
  const work = await mkdtemp(join(dirname(file), ".backup-")).catch((error: unknown) => {
    throw unwritable(file, error);
  });
  try {
    const copy = join(work, DATABASE);
    await snapshot(source, copy);
    const half = join(work, basename(file));
    const made = await packed(folder, copy, half, madeAt);
    await syncFile(half);
    await rename(half, file);
    await syncFile(dirname(file));
    return { ...made, bytes: (await stat(file)).size };
  } catch (error) {
    if (error instanceof StoreError) throw error;
    throw unwritable(file, error);
  } finally {
    await rm(work, { recursive: true, force: true });
  }
}

/** The store as it is at one moment, whoever writes in it meanwhile. */
async function snapshot(source: string, copy: string): Promise<void> {
  const from = new Database(source, { readonly: true, fileMustExist: true });
  try {
    // One moment is held while it is copied, or every write of the server would begin the copy anew.
    from.exec("begin");
    from.prepare("select count(*) from sqlite_schema").get();
    await from.backup(copy);
  } finally {
    from.close();
  }
  const made = new Database(copy);
  try {
    made.pragma("journal_mode = delete"); // one file, without those beside it
    const health = made.pragma("integrity_check(1)", { simple: true });
    if (health === "ok") return;
    const wayOut = "Keep what an earlier backup has, and look at the disk.";
    throw new StoreError("damaged", source, `damaged (${String(health)}), so no backup was made of it`, wayOut);
  } finally {
    made.close();
  }
}

interface KeptRecording {
  readonly hash: string;
  readonly name: string;
  readonly place: string | null;
}

async function packed(folder: string, copy: string, file: string, madeAt: string): Promise<Omit<BackupMade, "bytes">> {
  const db = new Database(copy, { readonly: true });
  const version = Number(db.pragma("user_version", { simple: true }));
  const rows = db.prepare<[], KeptRecording>("select hash, name, place from recording").all();
  db.close();
  const tar = pack();
  const written = pipeline(tar, createWriteStream(file, { flags: "wx", mode: 0o600 }));
  const hashes: Record<string, string> = {};
  const gone: string[] = [];
  const studies = await studyNames(folder);
  const filling = (async () => {
    hashes[DATABASE] = await addFile(tar, copy, DATABASE);
    const receivers = join(folder, RECEIVERS);
    if (existsSync(receivers)) hashes[RECEIVERS] = await addFile(tar, receivers, RECEIVERS);
    for (const { hash, name, place } of rows) {
      // The envelope is made anew where it is missing.
      for (const ending of [".json", ".sigmf-meta", ".sigmf-data"]) {
        const path = join(folder, RECORDINGS, hash + ending);
        const member = `${RECORDINGS}/${hash}${ending}`;
        if (existsSync(path)) hashes[member] = await addFile(tar, path, member);
        else if (ending === ".sigmf-data" && place === null) gone.push(name);
      }
    }
    for (const study of studies) {
      for await (const { member, handle } of filesOfStudy(folder, study)) {
        hashes[member] = await addOpen(tar, handle, member);
      }
    }
    const contents: BackupContents = { version: BACKUP_VERSION, storeVersion: version, madeAt, sha256: hashes };
    await entry(tar, CONTENTS, Buffer.from(JSON.stringify(contents)));
    tar.finalize();
  })().catch((error: Error) => tar.destroy(error));
  await Promise.all([written, filling]);
  const elsewhere = rows.filter(({ place }) => place !== null).map(({ name }) => name);
  return { recordings: rows.length - elsewhere.length - gone.length, studies: studies.length, elsewhere, gone };
}

/** Returns its SHA-256. A file of recordings never changes; one that goes meanwhile is still read to its end. */
async function addFile(tar: Pack, path: string, name: string): Promise<string> {
  return addOpen(tar, await open(path, "r"), name);
}

/** Closes it. What is written behind its end meanwhile, as in a log, is left out. */
async function addOpen(tar: Pack, handle: FileHandle, name: string): Promise<string> {
  try {
    const { size } = await handle.stat();
    const hash = createHash("sha256");
    const hashing = new Transform({
      transform(chunk: Buffer, _, done) {
        hash.update(chunk);
        done(undefined, chunk);
      },
    });
    const content = size === 0 ? Readable.from([]) : handle.createReadStream({ autoClose: false, end: size - 1 });
    await pipeline(content, hashing, tar.entry({ name, size }));
    return hash.digest("hex");
  } finally {
    await handle.close();
  }
}

function entry(tar: Pack, name: string, bytes: Buffer): Promise<void> {
  return new Promise((resume, reject) => {
    tar.entry({ name }, bytes, (error) => (error ? reject(error) : resume()));
  });
}

async function syncFile(path: string): Promise<void> {
  const handle = await open(path, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

function unwritable(file: string, error: unknown): StoreError {
  const full = error instanceof Error && "code" in error && error.code === "ENOSPC";
  const why = error instanceof Error ? error.message : String(error);
  return full
    ? new StoreError(
        "full",
        file,
        "no room left on the disk",
        "Make room or choose another disk; nothing was left there.",
        error,
      )
    : new StoreError("unreachable", file, `cannot be written (${why})`, "Choose another place for it.", error);
}
