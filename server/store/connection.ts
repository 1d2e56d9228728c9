import { existsSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { checkVersion, migrate } from "./migrations.ts";
import { StoreError, type StoreErrorCode } from "./storeError.ts";

/** An open database file. Work runs at once and in the order of calls; a promise settles when it is done. */
export interface Connection {
  readonly db: Database.Database;
  /** Runs what only reads. */
  read<T>(work: () => T): Promise<T>;
  /** Runs what writes, in one transaction that is on disk when the promise settles, or has left no trace. */
  write<T>(work: () => T): Promise<T>;
  close(): Promise<void>;
}

/**
 * A database file that is ours, made if it is not there, and brought up to date.
 *
 * @throws StoreError for a file that is damaged, foreign, newer, held, or out of reach.
 */
export function openConnection(file: string): Connection {
  const db = opened(file);
  const guarded = async <T>(work: () => T): Promise<T> => {
    if (!db.open) throw new StoreError("closed", file, "already closed", "Open it again.");
    try {
      return work();
    } catch (error) {
      throw explained(file, error);
    }
  };
  return {
    db,
    read: guarded,
    write: (work) => guarded(() => db.transaction(work).immediate()),
    close: async () => {
      db.close();
    },
  };
}

/** Longer than any transaction of ours takes; whoever waits stands still meanwhile. */
const BUSY_MILLISECONDS = 2000;

function opened(file: string): Database.Database {
  if (!existsSync(dirname(file))) {
    throw new StoreError("unreachable", file, "its folder is not there", "Make the folder, or choose one with --data.");
  }
  let db: Database.Database | undefined;
  try {
    db = new Database(file, { timeout: BUSY_MILLISECONDS });
    checkVersion(db, file); // before the first change
    // A broken page may be one that nobody reads for weeks: 0.6 ms a megabyte to know it now.
    const health = db.pragma("quick_check(1)", { simple: true });
    if (health !== "ok") throw new StoreError("damaged", file, ...damaged, new Error(String(health)));
    db.pragma("journal_mode = wal");
    db.pragma("synchronous = full");
    db.pragma("foreign_keys = on");
    db.pragma("secure_delete = on"); // a wiped name is overwritten, not only let go
    migrate(db, file);
    return db;
  } catch (error) {
    db?.close();
    throw explained(file, error);
  }
}

/** What SQLite says, as a sentence with a way out; a broken rule of the tables is a caller's bug. */
function explained(file: string, error: unknown): unknown {
  if (!(error instanceof Database.SqliteError)) return error;
  // Codes come extended, such as SQLITE_IOERR_READ.
  const kind = /^SQLITE_([A-Z]+)/.exec(error.code)?.[1] ?? "";
  if (kind === "CONSTRAINT") return new RangeError(`${file}: ${error.message}`, { cause: error });
  const known = EXPLAINED[kind];
  return known === undefined ? error : new StoreError(known[0], file, known[1], known[2], error);
}

const damaged = [
  "damaged, it cannot be read as a store",
  "Put back a copy from before; or move this file away, with those beside it that end in -wal and -shm, to start empty.",
] as const;
const busy = ["held by another program", "Stop the other one, then try again."] as const;
const unreachable = [
  "cannot be opened or written",
  "See that the disk is there and that you may write in this folder, or choose another with --data.",
] as const;

const EXPLAINED: Readonly<Record<string, readonly [StoreErrorCode, because: string, wayOut: string]>> = {
  CORRUPT: ["damaged", ...damaged],
  NOTADB: ["damaged", ...damaged],
  BUSY: ["busy", ...busy],
  LOCKED: ["busy", ...busy],
  CANTOPEN: ["unreachable", ...unreachable],
  IOERR: ["unreachable", ...unreachable],
  PERM: ["unreachable", ...unreachable],
  READONLY: ["unreachable", ...unreachable],
  FULL: ["full", "no room left on the disk", "Make room; what was not yet told as kept was not kept."],
};
