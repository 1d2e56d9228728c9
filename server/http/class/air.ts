import { Worker } from "node:worker_threads";
import type { AirOrder, AirResult } from "./airTask.ts";
import type { AirCall, AirReply } from "./airWorker.ts";

/** Threads that put scenarios on the air, record them and decode the recordings. */
export interface Air {
  /**
   * In the order asked for, as threads become free.
   *
   * @throws Error with a sentence where the scenario does not fit, or the thread died.
   */
  readonly play: (order: AirOrder) => Promise<AirResult>;
  readonly stop: () => Promise<void>;
}

interface Waiting {
  readonly order: AirOrder;
  readonly resume: (result: AirResult) => void;
  readonly reject: (error: Error) => void;
}

const THREADS = 2;
const STOPPED = "The server was stopped.";
/** Without work the threads go. */
const IDLE_MS = 120_000;

export function createAir(threads = THREADS): Air {
  const waiting: Waiting[] = [];
  const free: Worker[] = [];
  const busy = new Map<Worker, Waiting>();
  let stopped = false;
  let idle: NodeJS.Timeout | undefined;

  function next(): void {
    const asked = waiting[0];
    if (!asked || stopped) {
      if (busy.size === 0) idle = setTimeout(() => void letGo(), IDLE_MS).unref();
      return;
    }
    const worker = free.pop() ?? (busy.size < threads ? start() : undefined);
    if (!worker) return;
    clearTimeout(idle);
    waiting.shift();
    busy.set(worker, asked);
    worker.postMessage({ task: 0, order: asked.order } satisfies AirCall);
    next();
  }

  function start(): Worker {
    const worker = startThread();
    worker.on("message", (reply: AirReply) => {
      const asked = busy.get(worker);
      busy.delete(worker);
      free.push(worker);
      if ("result" in reply) asked?.resume(reply.result);
      else asked?.reject(new Error(reply.because));
      next();
    });
    const gone = (error: Error) => {
      const asked = busy.get(worker);
      busy.delete(worker);
      const at = free.indexOf(worker);
      if (at >= 0) free.splice(at, 1);
      asked?.reject(error);
      if (!stopped) next();
    };
    worker.on("error", gone);
    worker.on("exit", () => gone(new Error(stopped ? STOPPED : "A thread ended: it was killed.")));
    return worker;
  }

  async function letGo(): Promise<void> {
    await Promise.all(free.splice(0).map((worker) => worker.terminate()));
  }

  return {
    play(order) {
      if (stopped) return Promise.reject(new Error(STOPPED));
      return new Promise((resume, reject) => {
        waiting.push({ order, resume, reject });
        next();
      });
    },
    async stop() {
      stopped = true;
      clearTimeout(idle);
      for (const { reject } of waiting.splice(0)) reject(new Error(STOPPED));
      await Promise.all([...busy.keys()].map((worker) => worker.terminate()));
      await letGo();
    },
  };
}

/** From the bundle it is `airWorker.js` beside it, from the sources the sources. */
function startThread(): Worker {
  if (import.meta.url.endsWith(".ts")) return new Worker(new URL("./sourceAirWorker.mjs", import.meta.url));
  return new Worker(new URL("airWorker.js", import.meta.url));
}
