import { existsSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { checkVersion, migrate } from "./migrations.ts";
import { StoreError, type StoreErrorCode } from "./storeError.ts";

/** An open database file. Work runs in the order of calls; a promise settles when it is done. */
export interface Connection {
  readonly db: Database.Database;
  /** Runs what only reads, after all that was to be written before. */
  read<T>(work: () => T): Promise<T>;
  /**
   * Runs what writes; it is on disk when the promise settles, or has left no trace. What is to be written at the same
   * time shares one transaction and one sync of the disk; each fails alone.
   */
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
  let waiting: Writing[] = [];

  function failIfClosed(): void {
    if (!db.open) throw new StoreError("closed", file, "already closed", "Open it again.");
  }

  /** All that waits, in one transaction. */
  function flush(): void {
    const group = waiting;
    waiting = [];
    if (group.length === 0) return;
    try {
      failIfClosed();
      const outcomes = together(db, group);
      for (const [i, { settle }] of group.entries()) settle(outcomes[i]!);
    } catch (error) {
      for (const { settle } of group) settle({ ok: false, error });
    }
  }

  return {
    db,
    async read(work) {
      try {
        flush(); // what was asked for before comes before
        failIfClosed();
        return work();
      } catch (error) {
        throw explained(file, error);
      }
    },
    write(work) {
      return new Promise((resume, reject) => {
        // Whatever else happens at this moment joins the group.
        if (waiting.length === 0) setImmediate(flush);
        const settle = (outcome: Outcome) =>
          outcome.ok ? resume(outcome.value as ReturnType<typeof work>) : reject(explained(file, outcome.error));
        waiting.push({ work, settle });
      });
    },
    async close() {
      flush();
      db.close();
    },
  };
}

type Outcome = { readonly ok: true; readonly value: unknown } | { readonly ok: false; readonly error: unknown };

interface Writing {
  readonly work: () => unknown;
  readonly settle: (outcome: Outcome) => void;
}

/** @throws What ends the whole transaction, such as a full disk: then none of it was written. */
function together(db: Database.Database, group: readonly Writing[]): Outcome[] {
  const [first] = group;
  if (first && group.length === 1) return [{ ok: true, value: db.transaction(first.work).immediate() }];
  const all = db.transaction(() =>
    group.map(({ work }): Outcome => {
      try {
        return { ok: true, value: db.transaction(work)() }; // inside another one it is a savepoint
      } catch (error) {
        if (!db.inTransaction) throw error; // it took the others along
        return { ok: false, error };
      }
    }),
  );
  return all.immediate();
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
export function explained(file: string, error: unknown): unknown {
  if (!(error instanceof Database.SqliteError)) return error;
  // Codes come extended, such as SQLITE_IOERR_READ.
  const kind = /^SQLITE_([A-Z]+)/.exec(error.code)?.[1] ?? "";
  if (kind === "CONSTRAINT") return new RangeError(`${file}: ${error.message}`, { cause: error });
  const known = EXPLAINED[kind];
  return known === undefined ? error : new StoreError(known[0], file, known[1], known[2], error);
}

const damaged = [
  "damaged, it cannot be read as a store",
  "Put back a backup with wheelgram restore FILE --replace; or move this file away, with those beside it that end in -wal and -shm, to start empty.",
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
