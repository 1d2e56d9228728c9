import { readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import Database from "better-sqlite3";
import { StoreError } from "./storeError.ts";

export interface FolderLock {
  /** Lets another process have the folder. */
  readonly release: () => Promise<void>;
}

/**
 * A folder held so that no second process takes it.
 *
 * The hold is a lock of the operating system on `NAME.lock`: when a process dies, however it dies, its lock is gone, so
 * there is nothing stale to guess about. `NAME.pid` only says who holds it.
 *
 * @param o.who Whoever else may hold it, such as `another server`; `wayOut` is told to the second one.
 * @throws StoreError `busy` while another one has the folder; and what the file system throws.
 */
export async function lockFolder(
  folder: string,
  { name, who, wayOut }: { readonly name: string; readonly who: string; readonly wayOut: string },
): Promise<FolderLock> {
  const pidFile = join(folder, `${name}.pid`);
  let lock: Database.Database | undefined;
  try {
    // Node has no lock on files of its own; SQLite's works on every platform that the store works on.
    lock = new Database(join(folder, `${name}.lock`), { timeout: 0 });
    lock.exec("begin exclusive");
  } catch (error) {
    lock?.close();
    if (!(error instanceof Database.SqliteError) || !error.code.startsWith("SQLITE_BUSY")) throw error;
    const pid = (await readFile(pidFile, "utf8").catch(() => "")).trim();
    throw new StoreError("busy", folder, `in use by ${who}${pid === "" ? "" : `, process ${pid}`}`, wayOut, error);
  }
  const held = lock;
  try {
    await writeFile(pidFile, `${process.pid}\n`);
  } catch (error) {
    held.close();
    throw error;
  }
  return {
    async release() {
      if (!held.open) return;
      await rm(pidFile, { force: true });
      held.close(); // the file itself stays: a lock on a file that is deleted guards nothing
    },
  };
}
