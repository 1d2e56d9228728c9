import type { Worker } from "node:worker_threads";
import type { WorkedOut } from "../../decoders/workshop/workOut.ts";
import type { Worksheet } from "../../decoders/workshop/worksheet.ts";
import type { FromWorker, ToWorker } from "./messages.ts";
import { startWorker } from "./startWorker.ts";

/** Works out what worksheets come to, in a thread of its own: receivers are decoded meanwhile as ever. */
export interface Workshop {
  /**
   * One after the other. Of a worksheet that waits for its turn only the newest revision is worked out, and answers
   * whoever asked for an earlier one as well; what came of the last one is kept.
   *
   * @throws Error with a sentence, where it could not be worked out.
   */
  readonly workOut: (id: string, revision: number, sheet: Worksheet) => Promise<WorkedOut>;
  readonly stop: () => Promise<void>;
}

/** Worksheets whose last result is kept. */
const MOST_KEPT = 8;
/** Longer than any that was drawn took; what takes longer is given up, so that others have their turn. */
const LONGEST_MS = 180_000;
const GIVEN_UP = "It was given up after three minutes: leave some bursts out, or take out some sources.";
const STOPPED = "The server was stopped.";
/** Without work the thread goes. */
const IDLE_MS = 120_000;

interface Asked {
  readonly id: string;
  revision: number;
  sheet: Worksheet;
  readonly done: Promise<WorkedOut>;
  readonly resume: (worked: WorkedOut) => void;
  readonly reject: (error: Error) => void;
}

/** @param longestMs After which one that is worked out is given up. */
export function createWorkshop(start: () => Worker = startWorker, longestMs = LONGEST_MS): Workshop {
  const kept = new Map<string, { readonly revision: number; readonly worked: WorkedOut }>();
  const waiting: Asked[] = [];
  let busy: Asked | undefined;
  let thread: { readonly worker: Worker } | undefined;
  /** Whoever waits for the thread. */
  let hear: { task: number; resume: (worked: WorkedOut) => void; reject: (error: Error) => void } | undefined;
  let idle: NodeJS.Timeout | undefined;
  let task = 0;
  let stopped = false;

  function next(): void {
    if (busy || stopped) return;
    busy = waiting.shift();
    if (!busy) {
      idle = setTimeout(() => void letGo(), IDLE_MS);
      idle.unref();
      return;
    }
    clearTimeout(idle);
    void turnOf(busy).finally(() => {
      busy = undefined;
      next();
    });
  }

  async function turnOf(asked: Asked): Promise<void> {
    const { id, revision, sheet, resume, reject } = asked;
    try {
      const worked = await inThread(id, sheet);
      kept.delete(id);
      kept.set(id, { revision, worked });
      const [oldest] = kept.keys();
      if (kept.size > MOST_KEPT && oldest !== undefined) kept.delete(oldest);
      resume(worked);
    } catch (error) {
      reject(error instanceof Error ? error : new Error(String(error)));
    }
  }

  /** A thread that fails, dies or takes too long is let go; the next turn has a new one. */
  async function inThread(id: string, sheet: Worksheet): Promise<WorkedOut> {
    thread ??= startOne();
    const { worker } = thread;
    const mine = task++;
    let over: NodeJS.Timeout | undefined;
    try {
      return await new Promise<WorkedOut>((resume, reject) => {
        hear = { task: mine, resume, reject };
        over = setTimeout(() => reject(new Error(GIVEN_UP)), longestMs);
        over.unref();
        worker.postMessage({ kind: "begin", task: mine, order: { kind: "work out", id, sheet } } satisfies ToWorker);
      });
    } catch (error) {
      await letGo();
      throw error;
    } finally {
      hear = undefined;
      clearTimeout(over);
    }
  }

  function startOne() {
    const worker = start();
    const one = { worker };
    const fail = (error: Error) => {
      if (thread !== one) return; // it was let go
      thread = undefined;
      hear?.reject(error);
    };
    worker.on("error", fail);
    worker.on("exit", () => fail(new Error(stopped ? STOPPED : "A thread ended: it was killed.")));
    worker.on("message", (message: FromWorker) => {
      if (message.task !== hear?.task) return;
      if (message.kind === "worked out") hear.resume(message.worked);
      else if (message.kind === "failed") hear.reject(new Error(message.because));
    });
    return one;
  }

  async function letGo(): Promise<void> {
    const gone = thread;
    thread = undefined;
    await gone?.worker.terminate();
  }

  return {
    workOut(id, revision, sheet) {
      if (stopped) return Promise.reject(new Error(STOPPED));
      const known = kept.get(id);
      if (known?.revision === revision) return Promise.resolve(known.worked);
      if (busy?.id === id && busy.revision === revision) return busy.done;
      const queued = waiting.find((one) => one.id === id);
      if (queued) {
        if (queued.revision < revision) Object.assign(queued, { revision, sheet });
        return queued.done;
      }
      const { promise: done, resolve: resume, reject } = withResolvers<WorkedOut>();
      waiting.push({ id, revision, sheet, done, resume, reject });
      next();
      return done;
    },
    async stop() {
      stopped = true;
      clearTimeout(idle);
      for (const { reject } of waiting.splice(0)) reject(new Error(STOPPED));
      hear?.reject(new Error(STOPPED));
      await letGo();
    },
  };
}

function withResolvers<T>() {
  let resolve!: (value: T) => void;
  let reject!: (error: Error) => void;
  const promise = new Promise<T>((resume, refuse) => {
    resolve = resume;
    reject = refuse;
  });
  return { promise, resolve, reject };
}
