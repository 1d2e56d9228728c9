import type { Store } from "../store/store.ts";

const ALIVE = "alive";
/** A server that was killed ran until then, give or take. */
const EVERY_MS = 30_000;

/**
 * Says now and then that the server runs; and where an earlier one ended without a word, that its receivers were off
 * since it last did.
 *
 * @returns Ends it.
 */
export async function beginLife(
  store: Pick<Store, "receivers" | "receiverStates" | "putReceiverState" | "setting" | "setSetting">,
  stamp: () => string,
): Promise<() => void> {
  const alive = await store.setting(ALIVE);
  if (alive !== undefined) {
    for (const { id } of await store.receivers()) {
      const last = (await store.receiverStates(id, stamp())).at(-1);
      if (last === undefined || last.state === "stopped") continue;
      const since = last.since > alive ? last.since : alive;
      await store.putReceiverState(id, { since, state: "off" }, FIRST);
    }
  }
  await store.setSetting(ALIVE, stamp());
  const timer = setInterval(() => {
    store.setSetting(ALIVE, stamp()).catch(() => undefined); // of a store that cannot write the receivers tell
  }, EVERY_MS);
  timer.unref();
  return () => clearInterval(timer);
}

const FIRST = "0001-01-01T00:00:00Z";
