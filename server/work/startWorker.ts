import { Worker } from "node:worker_threads";

/**
 * A new worker thread of this build.
 *
 * From the bundle it is `worker.js` beside it. From the sources, in tests and in development, it is `worker.ts` through
 * the loader that runs the sources; never a bundle from before, which might be of other sources.
 */
export function startWorker(): Worker {
  if (import.meta.url.endsWith(".ts")) return new Worker(new URL("./sourceWorker.mjs", import.meta.url), LIMITS);
  return new Worker(new URL("worker.js", import.meta.url), LIMITS);
}

/** A thread makes much that is forgotten at once; left to itself it would let tens of megabytes of it gather. */
const LIMITS = { resourceLimits: { maxYoungGenerationSizeMb: 16 } };
