import { type MessagePort, parentPort, workerData } from "node:worker_threads";
import { openSqliteStore } from "./sqlite.ts";
import type { Store } from "./store.ts";
import { type Call, type FromStore, faultOf } from "./threadMessages.ts";

// The thread that has the store: it waits for the disk, so that the server need not.

if (parentPort) await serve(parentPort, String(workerData));

async function serve(port: MessagePort, file: string): Promise<void> {
  const say = (message: FromStore) => port.postMessage(message);
  let store: Store;
  try {
    store = await openSqliteStore(file);
  } catch (error) {
    say({ kind: "shut", fault: faultOf(error) });
    return;
  }
  const methods = new Map(Object.entries(store) as [string, (...given: readonly unknown[]) => Promise<unknown>][]);
  port.on("message", ({ number, method, given }: Call) => {
    const work = methods.get(method);
    if (!work) throw new RangeError(`a store has no ${method}`);
    work(...given).then(
      (value) => {
        say({ kind: "done", number, value });
        if (method === "close") port.close();
      },
      (error: unknown) => say({ kind: "failed", number, fault: faultOf(error) }),
    );
  });
  say({ kind: "open", methods: [...methods.keys()] });
}
