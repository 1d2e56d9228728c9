import { cutAgain, type Listened, listenAgain } from "../../decoders/workshop/cutAgain.ts";
import { openStored } from "../recordings/openStored.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** Bursts that nothing read, cut anew out of their recordings with what all of them agree on. */
export function cutTask({ recordings, caught }: OrderOf<"cut">, say: Say): RunningTask {
  return { take: () => undefined, until: run() };

  async function run(): Promise<void> {
    const listened: Listened[] = [];
    for (const { path, dataAt, originSeconds, records, ids } of recordings) {
      const opened = await openStored({ path, dataAt, hints: {} });
      if (!opened.ok) throw opened.error;
      const idOf = new Map(records.map((record, i) => [record, ids[i] ?? ""]));
      listened.push(...(await listenAgain(opened.value, records, originSeconds, (one) => idOf.get(one) ?? "")));
    }
    say({ kind: "cut", caught: cutAgain(listened, caught) });
  }
}
