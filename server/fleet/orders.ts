import { type KV, StorageType } from "nats";
import { z } from "zod";
import { again } from "./objects.ts";
import type { FleetStreams } from "./streams.ts";

/** What the fleet remembers of work that was asked for. */
export interface Orders {
  /** Makes this the one order that counts for a recording: what an earlier one comes to is thrown away. */
  readonly want: (hash: string, order: string) => Promise<void>;
  readonly wanted: (hash: string) => Promise<string | undefined>;
  /** Nobody wants it any more. @param order Only if it is still this one. */
  readonly drop: (hash: string, order?: string) => Promise<void>;
  /** Tries that were begun, and were not excused; `undefined`: nothing was written down. */
  readonly tries: (order: string) => Promise<Tries | undefined>;
  readonly putTries: (order: string, tries: Tries) => Promise<void>;
  readonly forgetTries: (order: string) => Promise<void>;
}

const Tries = z.strictObject({
  count: z.int().min(0),
  /** Why the last one failed, a sentence; "" where the worker ended without a word. */
  because: z.string(),
});
export type Tries = z.infer<typeof Tries>;

const BUCKET = "wheelgram-orders";

export async function openOrders({ jetstream, replicas }: FleetStreams): Promise<Orders> {
  const bucket = await again(() => jetstream.views.kv(BUCKET, { replicas, history: 1, storage: StorageType.File }));
  const forget = (key: string) => again(() => bucket.purge(key));
  return {
    want: async (hash, order) => void (await again(() => bucket.put(`of.${hash}`, order))),
    wanted: (hash) => textOf(bucket, `of.${hash}`),
    async drop(hash, order) {
      const key = `of.${hash}`;
      const found = await again(() => bucket.get(key));
      if (found?.operation !== "PUT" || (order !== undefined && found.string() !== order)) return;
      // A newer one that comes in between stays.
      await bucket.purge(key, { previousSeq: found.revision }).catch(() => undefined);
    },
    async tries(order) {
      const text = await textOf(bucket, `tries.${order}`);
      return text === undefined ? undefined : Tries.parse(JSON.parse(text));
    },
    putTries: async (order, tries) => void (await again(() => bucket.put(`tries.${order}`, JSON.stringify(tries)))),
    forgetTries: (order) => forget(`tries.${order}`),
  };
}

async function textOf(bucket: KV, key: string): Promise<string | undefined> {
  const found = await again(() => bucket.get(key));
  return found?.operation === "PUT" ? found.string() : undefined;
}
