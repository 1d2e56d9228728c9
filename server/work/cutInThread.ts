import type { Caught } from "../../decoders/workshop/caught.ts";
import type { CutRecording, FromWorker, ToWorker } from "./messages.ts";
import { startWorker } from "./startWorker.ts";

/** Longer than recordings of that many samples take. */
const LONGEST_MS = 120_000;

/**
 * Cuts bursts together, in a thread that lives no longer: each recording is gone through once more.
 *
 * @throws Error with a sentence where a recording cannot be read, or it takes too long.
 */
export async function cutInThread(
  recordings: readonly CutRecording[],
  caught: readonly Caught[],
  start = startWorker,
): Promise<readonly Caught[]> {
  const worker = start();
  let over: NodeJS.Timeout | undefined;
  try {
    return await new Promise((resume, reject) => {
      over = setTimeout(() => reject(new Error("It took too long.")), LONGEST_MS);
      worker.on("error", reject);
      worker.on("exit", () => reject(new Error("A thread ended: it was killed.")));
      worker.on("message", (message: FromWorker) => {
        if (message.kind === "cut") resume(message.caught);
        else if (message.kind === "failed") reject(new Error(message.because));
      });
      worker.postMessage({ kind: "begin", task: 0, order: { kind: "cut", recordings, caught } } satisfies ToWorker);
    });
  } finally {
    clearTimeout(over);
    await worker.terminate();
  }
}
