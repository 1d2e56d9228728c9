import { fail, type Result, succeed } from "../recordings/result.ts";
import { hashTask } from "../work/hashTask.ts";
import type { Hashed } from "../work/messages.ts";
import type { Pool } from "../work/pool.ts";

/** So many threads decode no faster than one takes hashes. */
const DECODERS_A_HASHER = 4;

/**
 * Takes hashes in this thread, which has little else to do while the threads of `pool` decode, so that they go on
 * decoding. Beyond four of them it would not keep up, and some take hashes as well.
 */
export function hashHere(pool: Pick<Pool, "hash" | "size">): Pick<Pool, "hash" | "size"> {
  let isFree = true;
  return {
    size: 1 + Math.floor(pool.size / (DECODERS_A_HASHER + 1)),
    async hash(task) {
      if (!isFree) return pool.hash(task);
      isFree = false;
      return hashed(task).finally(() => {
        isFree = true;
      });
    },
  };
}

async function hashed({ path, hints = {}, dataAt, signal }: Parameters<Pool["hash"]>[0]): ReturnType<Pool["hash"]> {
  let outcome: Result<Hashed, string> = fail("It was cancelled.");
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
