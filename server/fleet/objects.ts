import { createHash, randomUUID } from "node:crypto";
import { setTimeout as pause } from "node:timers/promises";
import { consumerOpts, headers, type JetStreamManager, type JsMsg, NatsError, type ObjectStoreStatus } from "nats";
import type { FleetStreams } from "./streams.ts";

/** Named bytes that the fleet keeps: a bucket of JetStream's object store. */
export interface Objects {
  readonly has: (name: string) => Promise<boolean>;
  /** Sends bytes unless the name is there already. Settles once they are kept by most of the replicas. */
  readonly put: (name: string, bytes: Uint8Array) => Promise<"sent" | "known">;
  /** `undefined`: there is none of that name. */
  readonly get: (name: string) => Promise<Uint8Array | undefined>;
  readonly remove: (name: string) => Promise<void>;
  readonly status: () => Promise<ObjectStoreStatus>;
}

/** Of a message that carries a part of an object; a server takes 1 MB at most as it comes. */
const CHUNK_BYTES = 512 * 1024;
/** Sent before their acknowledgements are there. */
const ON_THE_WAY = 8;
/** No word for so long: the server that sent is gone, and another one is asked. */
const SILENT_MS = 5000;
const TRIES = 10;
const LONGEST_PAUSE_MS = 3000;
const DIGEST = "SHA-256=";

/**
 * The client has a writer and a reader of its own, but works out SHA-256 in plain JavaScript, which took 20 ms for each
 * megabyte; Node's takes one. What lies in the bucket is the same: any other client of NATS reads it.
 *
 * @source NATS architecture decision record 20, "JetStream based Object Stores", from memory; held against the client.
 */
export function createObjects(streams: FleetStreams, which: "recordings" | "results"): Objects {
  const { jetstream, manager } = streams;
  const client = streams[which];
  const bucket = `wheelgram-${which}`;
  const stream = `OBJ_${bucket}`;
  const chunksOf = (id: string) => `$O.${bucket}.C.${id}`;
  const entryOf = (name: string) => `$O.${bucket}.M.${base64(Buffer.from(name))}`;

  async function entry(name: string): Promise<Entry | undefined> {
    const found = await again(() => lastOf(manager, stream, entryOf(name)));
    return found === undefined || found.deleted === true ? undefined : found;
  }

  async function send(name: string, bytes: Uint8Array): Promise<void> {
    const id = randomUUID().replaceAll("-", "");
    const waiting: Promise<unknown>[] = [];
    let chunks = 0;
    try {
      for (let from = 0; from < bytes.length; from += CHUNK_BYTES) {
        const part = bytes.subarray(from, from + CHUNK_BYTES);
        const acknowledged = jetstream.publish(chunksOf(id), part, { timeout: SILENT_MS });
        acknowledged.catch(() => undefined); // it is waited for below
        waiting.push(acknowledged);
        chunks++;
        if (waiting.length >= ON_THE_WAY) await waiting.shift();
      }
      await Promise.all(waiting);
    } catch (error) {
      // A part may have been lost while a later one was kept: what is there is in no order any more.
      await Promise.allSettled(waiting);
      await manager.streams.purge(stream, { filter: chunksOf(id) }).catch(() => undefined);
      throw error;
    }
    const said: Entry = {
      name,
      description: "",
      options: { max_chunk_size: CHUNK_BYTES },
      bucket,
      nuid: id,
      size: bytes.length,
      chunks,
      mtime: new Date().toISOString(),
      digest: DIGEST + base64(createHash("sha256").update(bytes).digest()),
      deleted: false,
    };
    const rolledUp = headers();
    rolledUp.set("Nats-Rollup", "sub");
    await jetstream.publish(entryOf(name), JSON.stringify(said), { headers: rolledUp, timeout: SILENT_MS });
  }

  async function fetch({ nuid, size }: Entry): Promise<Uint8Array> {
    const bytes = new Uint8Array(size);
    if (size === 0) return bytes;
    const subscription = await jetstream.subscribe(chunksOf(nuid), consumerOpts().orderedConsumer());
    let silent: NodeJS.Timeout | undefined;
    const wait = () => {
      clearTimeout(silent);
      silent = setTimeout(() => subscription.unsubscribe(), SILENT_MS);
    };
    try {
      wait();
      let at = 0;
      for await (const { data } of subscription as AsyncIterable<JsMsg>) {
        wait();
        if (at + data.length > size) break;
        bytes.set(data, at);
        at += data.length;
        if (at === size) return bytes;
      }
      throw new Error(`Only ${at} of ${size} bytes of an object came.`);
    } finally {
      clearTimeout(silent);
      subscription.unsubscribe();
    }
  }

  return {
    has: async (name) => (await entry(name)) !== undefined,
    async put(name, bytes) {
      if ((await entry(name)) !== undefined) return "known";
      await again(() => send(name, bytes));
      return "sent";
    },
    async get(name) {
      const found = await entry(name);
      if (found === undefined) return undefined;
      return again(async () => {
        const bytes = await fetch(found);
        if (DIGEST + base64(createHash("sha256").update(bytes).digest()) === found.digest) return bytes;
        throw new Error("An object came out otherwise than it went in.");
      });
    },
    async remove(name) {
      if ((await entry(name)) !== undefined) await again(() => client.delete(name));
    },
    status: () => client.status(),
  };
}

/** What a bucket has of an object beside its bytes. */
interface Entry {
  readonly name: string;
  readonly description: string;
  readonly options: { readonly max_chunk_size: number };
  readonly bucket: string;
  readonly nuid: string;
  readonly size: number;
  readonly chunks: number;
  readonly mtime: string;
  readonly digest: string;
  readonly deleted?: boolean;
}

async function lastOf(manager: JetStreamManager, stream: string, subject: string): Promise<Entry | undefined> {
  try {
    return (await manager.streams.getMessage(stream, { last_by_subj: subject })).json<Entry>();
  } catch (error) {
    if (error instanceof NatsError && (error.api_error?.code === 404 || error.code === "404")) return undefined;
    throw error;
  }
}

/** Tries once more what failed because a server went: those that are left take seconds to choose who leads. */
export async function again<T>(attempt: () => Promise<T>): Promise<T> {
  for (let tries = 1; ; tries++) {
    try {
      return await attempt();
    } catch (error) {
      if (tries === TRIES) throw error;
      await pause(Math.min(LONGEST_PAUSE_MS, 50 * 2 ** tries));
    }
  }
}

/** With the letters of addresses, and padded: so the client writes it. */
function base64(bytes: Buffer): string {
  const text = bytes.toString("base64url");
  return text + "=".repeat((4 - (text.length % 4)) % 4);
}
