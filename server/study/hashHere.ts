import { fail, type Result, succeed } from "../recordings/result.ts";
import { hashTask } from "../work/hashTask.ts";
import type { Hashed } from "../work/messages.ts";
import type { Pool } from "../work/pool.ts";

/** Takes hashes in this thread, one after the other: it has little else to do while others decode. */
export function hashHere(): Pick<Pool, "hash" | "size"> {
  let last: Promise<unknown> = Promise.resolve();
  return {
    size: 1,
    hash(task) {
      const mine = last.then(() => hashed(task));
      last = mine;
      return mine;
    },
  };
}

/** Never rejects. */
async function hashed({ path, hints = {}, dataAt, signal }: Parameters<Pool["hash"]>[0]): ReturnType<Pool["hash"]> {
  let outcome: Result<Hashed, string> = fail("It was cancelled.");
  if (signal?.aborted) return outcome;
  const task = hashTask({ kind: "hash", path, hints, dataAt }, (word) => {
    if (word.kind === "hashed") outcome = succeed(word);
  });
  const cancel = () => task.take({ kind: "cancel", task: 0 });
  signal?.addEventListener("abort", cancel);
  try {
    await task.until;
    return outcome;
  } catch (error) {
    return fail(error instanceof Error ? error.message : String(error));
  } finally {
    signal?.removeEventListener("abort", cancel);
  }
}
