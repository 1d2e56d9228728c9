import { openConnection } from "./connection.ts";
import { classRows } from "./sqliteClass.ts";
import { deviceRows } from "./sqliteDevices.ts";
import { eventRows } from "./sqliteEvents.ts";
import { faringRows } from "./sqliteFaring.ts";
import { heardRows } from "./sqliteHeard.ts";
import { historyRows } from "./sqliteHistory.ts";
import { jobRows } from "./sqliteJobs.ts";
import { lotRows } from "./sqliteLots.ts";
import { namedRows } from "./sqliteNamed.ts";
import { receiverRows } from "./sqliteReceivers.ts";
import { recordingRows } from "./sqliteRecordings.ts";
import { worksheetRows } from "./sqliteWorksheets.ts";
import type { Store } from "./store.ts";

/**
 * The store in one SQLite file, made if it is not there. The folder has to be there.
 *
 * Every write is on disk when its promise settles, and a process that is killed leaves nothing half done.
 *
 * @throws StoreError for a file that is damaged, foreign, of a newer version, held, or out of reach; later calls reject
 *   with it too. What is asked for against the rules, such as an id that is taken, rejects with RangeError.
 */
export async function openSqliteStore(file: string): Promise<Store> {
  const connection = openConnection(file);
  return {
    close: connection.close,
    ...recordingRows(connection),
    ...receiverRows(connection),
    ...heardRows(connection),
    ...jobRows(connection),
    ...eventRows(connection),
    ...namedRows(connection),
    ...faringRows(connection),
    ...deviceRows(connection),
    ...historyRows(connection),
    ...worksheetRows(connection),
    ...lotRows(connection),
    ...classRows(connection),
  };
}
