import type { Worker } from "node:worker_threads";
import { InputError } from "../recordings/inputError.ts";
import { openStored, type RecordingAt } from "../recordings/openStored.ts";
import { sampleBytes } from "../recordings/recording.ts";
import { type TakenSamples, type TakeOptions, takeSamples } from "../recordings/takeSamples.ts";
import type { FromWorker, ToWorker } from "./messages.ts";
import { startWorker } from "./startWorker.ts";

/** Takes the hash and the envelope of recordings in files, one after the other. */
export interface Taker {
  /**
   * @throws InputError for a recording that cannot be read, DOMException `AbortError` once it is aborted, and what the
   *   file system throws, with its code.
   */
  readonly take: (from: RecordingAt, options: TakeOptions) => Promise<TakenSamples>;
  /** Ends what runs; it rejects. */
  readonly stop: () => Promise<void>;
}

/** Less is done before a thread would have started. */
export const SMALL_BYTES = 16 * 2 ** 20;

/**
 * Small recordings are taken in the server's own thread. A large one gets a thread for itself: in those that decode it
 * would have to wait for every block that an analysis is at, and in the server's thread pages would wait for it.
 */
export function createTaker(start: () => Worker = startWorker): Taker {
  let last: Promise<unknown> = Promise.resolve();
  let running: Worker | undefined;
  let stopped = false;

  async function inThread(from: RecordingAt, { copyTo, envelopeTo, onProgress, signal }: TakeOptions) {
    signal?.throwIfAborted();
    if (stopped) throw new Error("The server was stopped.");
    const worker = start();
    running = worker;
    const send = (message: ToWorker) => worker.postMessage(message);
    const cancel = () => send({ kind: "cancel", task: 0 });
    signal?.addEventListener("abort", cancel);
    try {
      return await new Promise<TakenSamples>((resume, reject) => {
        worker.on("error", reject);
        worker.on("exit", () =>
          reject(new Error(stopped ? "The server was stopped." : "A thread ended: it was killed.")),
        );
        worker.on("message", (message: FromWorker) => {
          if (message.kind === "progress") onProgress?.(message.share);
          else if (message.kind === "samples taken") resume({ hash: message.hash, sampleCount: message.sampleCount });
          else if (message.kind === "failed") reject(signal?.aborted ? signal.reason : errorOf(message));
        });
        const { path, hints, dataAt } = from;
        send({ kind: "begin", task: 0, order: { kind: "take", path, hints, dataAt, copyTo, envelopeTo } });
      });
    } finally {
      signal?.removeEventListener("abort", cancel);
      running = undefined;
      await worker.terminate();
    }
  }

  return {
    async take(from, options) {
      const opened = await openStored(from);
      if (!opened.ok) throw opened.error;
      const { sampleCount = 0, sampleType } = opened.value;
      if (sampleCount * sampleBytes(sampleType) <= SMALL_BYTES) return takeSamples(opened.value, options);
      const done = last.then(() => inThread(from, options));
      last = done.catch(() => undefined); // told to whoever waits for it
      return done;
    },
    async stop() {
      stopped = true;
      await running?.terminate();
    },
  };
}

function errorOf({ because, code }: Extract<FromWorker, { readonly kind: "failed" }>): Error {
  if (code === "refused") return InputError.told(because);
  return Object.assign(new Error(because), code === undefined ? {} : { code });
}
