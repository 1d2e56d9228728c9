import Database from "better-sqlite3";
import { type Connection, explained } from "./connection.ts";
import { checkVersion, MIGRATIONS } from "./migrations.ts";
import { heardRows } from "./sqliteHeard.ts";
import type { Store } from "./store.ts";
import { StoreError } from "./storeError.ts";

/** What can be read of a store, whoever has it open, without changing a byte of it. */
export interface StoreReader extends Pick<Store, "telegrams" | "close"> {
  /** Names by id, of receivers that were removed too, and by hash. */
  readonly names: () => Promise<{
    readonly receivers: ReadonlyMap<string, string>;
    readonly recordings: ReadonlyMap<string, string>;
  }>;
}

/** @throws StoreError for a file that is damaged, foreign, of another version, or out of reach. */
export function openReader(file: string): StoreReader {
  let db: Database.Database | undefined;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true });
    checkVersion(db, file);
    const version = Number(db.pragma("user_version", { simple: true }));
    if (version < MIGRATIONS.length) {
      const because = `of version ${version} of the store, this is version ${MIGRATIONS.length}`;
      throw new StoreError("foreign", file, because, "Start the server on it once, which brings it up to date.");
    }
    return reading(db, file);
  } catch (error) {
    db?.close();
    throw explained(file, error);
  }
}

function reading(db: Database.Database, file: string): StoreReader {
  const read: Connection["read"] = async (work) => {
    try {
      return work();
    } catch (error) {
      throw explained(file, error);
    }
  };
  const write = () => Promise.reject(new RangeError("a reader does not write"));
  const { telegrams } = heardRows({ db, read, write, close: async () => void db.close() });
  const receivers = db.prepare<[], { id: string; name: string }>("select id, name from receiver");
  const recordings = db.prepare<[], { id: string; name: string }>("select hash as id, name from recording");
  const named = (rows: readonly { id: string; name: string }[]) => new Map(rows.map(({ id, name }) => [id, name]));
  return {
    telegrams,
    names: () => read(() => ({ receivers: named(receivers.all()), recordings: named(recordings.all()) })),
    close: async () => void db.close(),
  };
}
