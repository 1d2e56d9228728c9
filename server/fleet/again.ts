import { randomUUID } from "node:crypto";
import type { Store } from "../store/store.ts";
import { type AsideEntry, forgetAside, listAside, sendWork } from "./aside.ts";
import { createObjects } from "./objects.ts";
import { openOrders } from "./orders.ts";
import type { FleetStreams } from "./streams.ts";

/** @param id The whole of it, or as much of its beginning as tells it from the others. */
export async function findAside(
  streams: FleetStreams,
  id: string,
): Promise<{ readonly found: AsideEntry | undefined; readonly isOpen: boolean }> {
  const all = (await listAside(streams)).filter((entry) => entry.id.startsWith(id) || entry.name === id);
  return { found: all.length === 1 ? all[0] : undefined, isOpen: all.length > 1 };
}

/** Puts what was set aside back into the queue, with three tries before it. */
export async function tryAgain(
  streams: FleetStreams,
  store: Pick<Store, "setAnalysis" | "recording" | "appendEvents">,
  { id, task }: AsideEntry,
): Promise<void> {
  const order = randomUUID().replaceAll("-", "");
  if (task.kind === "recording") {
    const analysis = { state: "waiting", because: null, progress: 0 } as const;
    await store.setAnalysis(task.hash, analysis);
    if (await store.recording(task.hash)) {
      await store.appendEvents([{ type: "recording", text: JSON.stringify({ hash: task.hash, analysis }) }]);
    }
    await (await openOrders(streams)).want(task.hash, order);
  } else {
    await createObjects(streams, "results").remove(task.key);
  }
  await sendWork(streams, { ...task, order });
  await forgetAside(streams, id);
}
