import { Worker } from "node:worker_threads";
import type { Store } from "./store.ts";
import { StoreError } from "./storeError.ts";
import { type Call, errorFrom, type FromStore } from "./threadMessages.ts";

/**
 * The store of `openSqliteStore` in a thread of its own, so that nobody stands still while the disk is waited for.
 *
 * @throws StoreError as that does. If the thread dies, every call rejects with one.
 */
export async function openStoreThread(file: string): Promise<Store> {
  const thread = startThread(file);
  const asked = new Map<
    number,
    { readonly resume: (value: unknown) => void; readonly reject: (error: Error) => void }
  >();
  let next = 0;
  let isOver = false;

  function gone(): StoreError {
    return new StoreError("closed", file, "already closed", "Open it again.");
  }

  const ended = new Promise<void>((resume) =>
    thread.on("exit", () => {
      isOver = true;
      for (const { reject } of asked.values()) reject(gone());
      asked.clear();
      resume();
    }),
  );
  const methods = await new Promise<readonly string[]>((resume, reject) => {
    thread.once("error", reject);
    thread.on("message", (message: FromStore) => {
      if (message.kind === "open") return resume(message.methods);
      if (message.kind === "shut") return reject(errorFrom(message.fault));
      const one = asked.get(message.number);
      asked.delete(message.number);
      if (asked.size === 0) thread.unref(); // what waits for an answer keeps the process alive
      if (message.kind === "done") one?.resume(message.value);
      else one?.reject(errorFrom(message.fault));
    });
  });
  thread.unref();

  const call = (method: string, given: readonly unknown[]) =>
    new Promise<unknown>((resume, reject) => {
      if (isOver) return reject(gone());
      const number = next++;
      if (asked.size === 0) thread.ref();
      asked.set(number, { resume, reject });
      thread.postMessage({ number, method, given } satisfies Call);
    });
  // Each method of the interface, as the thread names them.
  const store = Object.fromEntries(
    methods.map((method) => [method, (...given: readonly unknown[]) => call(method, given)]),
  ) as unknown as Store;
  return {
    ...store,
    async close() {
      if (!isOver) await call("close", []);
      thread.ref(); // or the process might end before whoever waits for this goes on
      await ended; // then the file is free
    },
  };
}

/** From the bundle it is `storeWorker.js` beside it, from the sources the sources. */
function startThread(file: string): Worker {
  const given = { workerData: file };
  if (import.meta.url.endsWith(".ts")) return new Worker(new URL("./sourceStoreWorker.mjs", import.meta.url), given);
  return new Worker(new URL("storeWorker.js", import.meta.url), given);
}
