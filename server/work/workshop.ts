import type { Worker } from "node:worker_threads";
import type { WorkedOut } from "../../decoders/workshop/workOut.ts";
import type { Worksheet } from "../../decoders/workshop/worksheet.ts";
import type { FromWorker, ToWorker } from "./messages.ts";
import { startWorker } from "./startWorker.ts";

/** Works out what worksheets come to, in a thread of its own: receivers are decoded meanwhile as ever. */
export interface Workshop {
  /**
   * @param key The same for the same worksheet in the same state: what was worked out last is kept.
   * @throws Error with a sentence, where it could not be worked out.
   */
  readonly workOut: (key: string, sheet: Worksheet) => Promise<WorkedOut>;
  readonly stop: () => Promise<void>;
}

/** Worksheets whose last result is kept. */
const MOST_KEPT = 8;
/** Longer than any that was drawn took; what takes longer is given up, so that others have their turn. */
const LONGEST_MS = 180_000;
/** Without work the thread goes. */
const IDLE_MS = 120_000;

/** @param longestMs After which one that is worked out is given up. */
export function createWorkshop(start: () => Worker = startWorker, longestMs = LONGEST_MS): Workshop {
  const kept = new Map<string, Promise<WorkedOut>>();
  const asked = new Map<number, { resume: (worked: WorkedOut) => void; reject: (error: Error) => void }>();
  let thread: Worker | undefined;
  let idle: NodeJS.Timeout | undefined;
  let next = 0;
  let stopped = false;

  function running(): Worker {
    if (thread) return thread;
    const worker = start();
    thread = worker;
    const fail = (error: Error) => {
      if (thread === worker) thread = undefined;
      for (const { reject } of asked.values()) reject(error);
      asked.clear();
    };
    worker.on("error", fail);
    worker.on("exit", () => fail(new Error(stopped ? "The server was stopped." : "A thread ended: it was killed.")));
    worker.on("message", (message: FromWorker) => {
      const one = asked.get(message.task);
      if (!one) return;
      if (message.kind === "worked out") one.resume(message.worked);
      else if (message.kind === "failed") one.reject(new Error(message.because));
      else return;
      asked.delete(message.task);
      if (asked.size > 0) return;
      idle = setTimeout(() => {
        thread = undefined;
        void worker.terminate();
      }, IDLE_MS);
      idle.unref();
    });
    return worker;
  }

  function ask(sheet: Worksheet): Promise<WorkedOut> {
    if (stopped) return Promise.reject(new Error("The server was stopped."));
    clearTimeout(idle);
    const worker = running();
    const task = next++;
    return new Promise<WorkedOut>((resume, reject) => {
      const given = setTimeout(() => {
        reject(new Error("It was given up after three minutes: leave some bursts out, or take out some sources."));
        asked.delete(task);
        void worker.terminate();
      }, longestMs);
      given.unref();
      const over =
        <T>(settle: (value: T) => void) =>
        (value: T) => {
          clearTimeout(given);
          settle(value);
        };
      asked.set(task, { resume: over(resume), reject: over(reject) });
      worker.postMessage({ kind: "begin", task, order: { kind: "work out", sheet } } satisfies ToWorker);
    });
  }

  return {
    workOut(key, sheet) {
      const known = kept.get(key);
      if (known) return known;
      const found = ask(sheet);
      kept.set(key, found);
      found.catch(() => kept.delete(key));
      const [oldest] = kept.keys();
      if (kept.size > MOST_KEPT && oldest !== undefined) kept.delete(oldest);
      return found;
    },
    async stop() {
      stopped = true;
      clearTimeout(idle);
      await thread?.terminate();
    },
  };
}
