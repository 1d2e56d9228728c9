import type { NatsConnection } from "nats";
import { pause } from "./connect.ts";
import { Told, toldSubject } from "./workTask.ts";

/** What is said on its way may be lost: so often it is looked whether it is over. */
const LOOK_EVERY_MS = 2000;

/**
 * Waits for a piece of work.
 *
 * @param isOver Looks whether it is; what it gives back ends the waiting.
 * @param onProgress Share done, 0 to 1.
 * @returns `undefined` once it is aborted.
 */
export async function follow<T>(
  connection: NatsConnection,
  order: string,
  isOver: () => Promise<T | undefined>,
  { onProgress, signal }: { readonly onProgress?: ((share: number) => void) | undefined; readonly signal: AbortSignal },
): Promise<T | undefined> {
  let look = new AbortController();
  const onAbort = () => look.abort();
  signal.addEventListener("abort", onAbort);
  const told = connection.subscribe(toldSubject(order), {
    callback(_, message) {
      const said = message === null ? undefined : Told.safeParse(message.json()).data;
      if (said?.over) look.abort();
      else if (said) onProgress?.(said.share);
    },
  });
  try {
    while (!signal.aborted) {
      const outcome = await isOver().catch(() => undefined); // a server is gone; it is looked again
      if (outcome !== undefined) return outcome;
      await pause(LOOK_EVERY_MS, look.signal);
      look = new AbortController();
    }
    return undefined;
  } finally {
    signal.removeEventListener("abort", onAbort);
    told.unsubscribe();
  }
}
