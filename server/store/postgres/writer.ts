import { isLost, isSentBack, isWithoutPartition } from "./explained.ts";
import type { Sql } from "./sql.ts";

/** What a write needs beside its statements. */
export interface Needs {
  /** Times whose partitions have to be there. */
  readonly times?: readonly string[];
  /**
   * It takes a lock that all processes want, so in its transaction it runs behind all but its like: held for the commit
   * only, and taken last by everybody, so that no two wait for each other. As all of a transaction is seen at once,
   * nobody can tell.
   */
  readonly isLast?: boolean;
}

export type Write = <T>(work: (sql: Sql) => Promise<T>, needs?: Needs) => Promise<T>;

/** One connection that writes. */
export interface WriteSession {
  /** Commits what `work` did, or leaves no trace of it. */
  readonly transaction: (work: (sql: Sql) => Promise<void>) => Promise<void>;
  /** @param anew Whether what is known to be there is to be looked at again. */
  readonly preparePartitions: (times: readonly string[], anew: boolean) => Promise<void>;
}

export interface Writer {
  /**
   * Runs what writes, in the order of the calls; it is committed when the promise settles, or has left no trace. What
   * came together shares one transaction and one sync; each fails alone, for which `work` may be run again.
   */
  readonly write: Write;
  /** Settles when all that was to be written so far is, or has failed. */
  readonly settled: () => Promise<unknown>;
}

const MOST_TOGETHER = 500;
const MOST_TRIES = 5;

export function createWriter(session: WriteSession): Writer {
  const waiting: Writing[] = [];
  let isRunning = false;
  let last: Promise<unknown> = Promise.resolve();

  async function drain(): Promise<void> {
    while (waiting.length > 0) await together(session, waiting.splice(0, MOST_TOGETHER));
    isRunning = false;
  }

  function write<T>(work: (sql: Sql) => Promise<T>, needs: Needs = {}): Promise<T> {
    const done = new Promise<T>((resume, reject) => {
      waiting.push({
        needs,
        reject,
        async attempt(sql) {
          const value = await work(sql);
          return () => resume(value);
        },
      });
    });
    if (!isRunning) {
      isRunning = true;
      setImmediate(() => void drain()); // whatever else happens at this moment joins the group
    }
    last = done.catch(() => undefined);
    return done;
  }
  return { write, settled: () => last };
}

interface Writing {
  readonly needs: Needs;
  /** Does the work; what comes back tells that it was committed. */
  readonly attempt: (sql: Sql) => Promise<() => void>;
  readonly reject: (error: unknown) => void;
}

async function together(session: WriteSession, group: readonly Writing[]): Promise<void> {
  try {
    await committed(session, group, false);
  } catch (error) {
    const [only] = group;
    if (only && group.length === 1) await alone(session, only, error);
    else if (isLost(error)) for (const { reject } of group) reject(error);
    // None of it was written: each by itself tells which one is at fault.
    else for (const one of group) await together(session, [one]);
  }
}

/** Tries again where that can help. */
async function alone(session: WriteSession, one: Writing, first: unknown): Promise<void> {
  let error = first;
  for (let tries = 1; tries < MOST_TRIES && (isSentBack(error) || isWithoutPartition(error)); tries++) {
    try {
      return await committed(session, [one], true);
    } catch (next) {
      error = next;
    }
  }
  one.reject(error);
}

async function committed(session: WriteSession, group: readonly Writing[], anew: boolean): Promise<void> {
  const times = group.flatMap(({ needs }) => needs.times ?? []);
  if (times.length > 0) await session.preparePartitions(times, anew);
  const inOrder = [...group.filter(({ needs }) => !needs.isLast), ...group.filter(({ needs }) => needs.isLast)];
  let told = new Map<Writing, () => void>();
  await session.transaction(async (sql) => {
    told = new Map(); // it may run a second time
    for (const one of inOrder) told.set(one, await one.attempt(sql));
  });
  for (const one of group) told.get(one)?.();
}
