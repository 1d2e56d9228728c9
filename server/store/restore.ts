import { createHash } from "node:crypto";
import { createReadStream, createWriteStream, existsSync } from "node:fs";
import { mkdir, open, readdir, rename, rm, stat } from "node:fs/promises";
import { dirname, join } from "node:path";
import { Transform } from "node:stream";
import { text } from "node:stream/consumers";
import { pipeline } from "node:stream/promises";
import Database from "better-sqlite3";
import { extract } from "tar-stream";
import { BackupContents, CONTENTS, DATABASE, MEMBER, RECEIVERS, RECORDINGS, STUDIES } from "./backupContents.ts";
import type { DataFolder } from "./dataFolder.ts";
import { checkVersion } from "./migrations.ts";
import { StoreError } from "./storeError.ts";

export interface Restored {
  readonly madeAt: string;
  readonly recordings: number;
  readonly studies: number;
  /** Where what was in the folder before lies now; `undefined` where there was nothing. */
  readonly before: string | undefined;
}

const WORK = "restoring";
/** Larger than any list of members that we write. */
const MOST_CONTENTS_BYTES = 64 * 2 ** 20;

/**
 * Puts a backup into a data folder. Every byte of it is checked before anything in the folder is touched, and what was
 * there before is moved aside, not deleted.
 *
 * @param folder Held by the caller, so that no server has it.
 * @param replace Whether a folder that has a store may be given the other one.
 * @param name Of the folder into which what was there is moved, such as `before-restore-2026-11-29`.
 * @throws StoreError for a file that is no whole backup, and a folder that has a store already.
 */
export async function restoreBackup(
  file: string,
  folder: DataFolder,
  replace: boolean,
  name: string,
): Promise<Restored> {
  if (existsSync(folder.databaseFile) && !replace) {
    throw new StoreError(
      "busy",
      folder.path,
      "has a store already",
      "Choose an empty folder with --data; or say --replace, and what is there is moved aside.",
    );
  }
  const work = join(folder.path, WORK);
  await rm(work, { recursive: true, force: true }); // of one that was broken off
  await mkdir(join(work, RECORDINGS), { recursive: true });
  let contents: BackupContents;
  try {
    contents = await checkedBackup(file, work);
  } catch (error) {
    await rm(work, { recursive: true, force: true });
    throw error;
  }
  // From here on the folder is between two stores. If this is broken off, `work` stays and says so at the next start.
  const before = await moveAside(folder, name);
  for (const one of await readdir(join(work, RECORDINGS))) {
    await rename(join(work, RECORDINGS, one), join(folder.recordingsDir, one));
  }
  if (existsSync(join(work, STUDIES))) await rename(join(work, STUDIES), join(folder.path, STUDIES));
  if (existsSync(join(work, RECEIVERS))) await rename(join(work, RECEIVERS), join(folder.path, RECEIVERS));
  await rename(join(work, DATABASE), folder.databaseFile);
  for (const one of [folder.recordingsDir, folder.path]) await syncFolder(one);
  await rm(work, { recursive: true, force: true });
  const { madeAt, recordings, studies } = said(contents);
  return { madeAt, recordings, studies, before };
}

/** What a backup holds, in figures. */
export function said({ madeAt, sha256 }: BackupContents) {
  const members = Object.keys(sha256);
  return {
    madeAt,
    files: members.length,
    recordings: members.filter((member) => member.startsWith(RECORDINGS) && member.endsWith(".sigmf-data")).length,
    studies: new Set(members.filter((member) => member.startsWith(STUDIES)).map((member) => member.split("/")[1])).size,
  };
}

/** @throws StoreError where a restore was broken off between two stores, so that nobody begins with an empty one. */
export function refuseHalfRestored(folder: DataFolder): void {
  if (!existsSync(join(folder.path, WORK)) || existsSync(folder.databaseFile)) return;
  const wayOut = "Run wheelgram restore once more; what was there before lies beside it, in before-restore-….";
  throw new StoreError("busy", folder.path, "a restore was broken off in it", wayOut);
}

async function syncFolder(path: string): Promise<void> {
  const handle = await open(path, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/**
 * Reads a backup to its end and holds every member against what it should be.
 *
 * @param into Folder that its members are written to; `undefined` to look only, when the store is not opened.
 */
export async function checkedBackup(file: string, into: string | undefined): Promise<BackupContents> {
  const found: Record<string, string> = {};
  let contents: BackupContents | undefined;
  const tar = extract();
  const input = createReadStream(file);
  input.on("error", (error) => tar.destroy(error));
  input.pipe(tar);
  try {
    for await (const entry of tar) {
      const { name, size = 0 } = entry.header;
      if (contents) throw broken(file, `${JSON.stringify(name)} stands behind its end`);
      if (name === CONTENTS) {
        if (size > MOST_CONTENTS_BYTES) throw broken(file, `its list of members has ${size} bytes`);
        contents = contentsIn(file, await text(entry));
        continue;
      }
      if (!MEMBER.test(name) || entry.header.type !== "file" || found[name] !== undefined) {
        throw broken(file, `it holds ${JSON.stringify(name)}, which no backup has`);
      }
      const hash = createHash("sha256");
      const hashing = new Transform({
        transform(chunk: Buffer, _, done) {
          hash.update(chunk);
          done(undefined, into === undefined ? undefined : chunk);
        },
      });
      if (into === undefined) await pipeline(entry, hashing.resume());
      else {
        await mkdir(dirname(join(into, name)), { recursive: true });
        await pipeline(entry, hashing, createWriteStream(join(into, name), { flags: "wx", mode: 0o600, flush: true }));
      }
      found[name] = hash.digest("hex");
    }
  } catch (error) {
    throw error instanceof StoreError ? error : broken(file, error instanceof Error ? error.message : String(error));
  } finally {
    input.destroy();
  }
  if (!contents) throw broken(file, "its end is missing");
  for (const [name, hash] of Object.entries(contents.sha256)) {
    if (found[name] !== hash)
      throw broken(file, `${name} is ${found[name] === undefined ? "missing" : "not as it was written"}`);
  }
  const extra = Object.keys(found).find((name) => contents?.sha256[name] === undefined);
  if (extra !== undefined) throw broken(file, `${extra} is not in its list`);
  if (into !== undefined) checkStore(join(into, DATABASE), file);
  return contents;
}

function contentsIn(file: string, json: string): BackupContents {
  let value: unknown;
  try {
    value = JSON.parse(json);
  } catch {
    throw broken(file, `${CONTENTS} is not JSON`);
  }
  const parsed = BackupContents.safeParse(value);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw broken(file, `${CONTENTS}: ${issue?.path.join(".") ?? "the whole"}: ${issue?.message ?? "does not fit"}`);
}

function checkStore(database: string, file: string): void {
  if (!existsSync(database)) throw broken(file, "it has no store");
  const db = new Database(database, { readonly: true });
  try {
    checkVersion(db, file);
    const health = db.pragma("integrity_check(1)", { simple: true });
    if (health !== "ok") throw broken(file, `its store is damaged: ${String(health)}`);
  } finally {
    db.close();
  }
}

/** What a store consists of goes into a folder of its own. */
async function moveAside({ path, databaseFile, recordingsDir }: DataFolder, name: string): Promise<string | undefined> {
  if (!existsSync(databaseFile) && !existsSync(join(path, STUDIES))) return undefined;
  const aside = join(path, name);
  await mkdir(aside);
  for (const one of [
    databaseFile,
    `${databaseFile}-wal`,
    `${databaseFile}-shm`,
    recordingsDir,
    join(path, STUDIES),
    join(path, RECEIVERS),
  ]) {
    if (existsSync(one)) await rename(one, join(aside, one.slice(path.length + 1)));
  }
  await mkdir(recordingsDir);
  return aside;
}

function broken(file: string, because: string): StoreError {
  return new StoreError("damaged", file, `no whole backup: ${because}`, "Take another one; nothing was changed.");
}

/** Whether there is such a file at all. @throws StoreError */
export async function seeBackup(file: string): Promise<void> {
  const there = await stat(file).catch(() => undefined);
  if (there?.isFile()) return;
  throw new StoreError("unreachable", file, "no such file", "Name a file that wheelgram backup has made.");
}
