import { randomUUID } from "node:crypto";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import type { Store, StoredReceiver } from "../store/store.ts";
import type { Pool } from "../work/pool.ts";
import type { Told } from "./heard.ts";
import { beginLife } from "./life.ts";
import { type LinesElsewhere, type RunningReceiver, runReceiver } from "./runReceiver.ts";
import type { SelfCheck } from "./selfCheck.ts";
import type { ReceiverStatus } from "./status.ts";
import type { LineStream } from "./streamLink.ts";

/** A receiver as it is set up. */
export type NewReceiver =
  | { readonly kind: "serial"; readonly name: string; readonly path: string; readonly baudRate: number }
  /** Port 0: any that is free; it is then kept. */
  | { readonly kind: "tcp" | "samples"; readonly name: string; readonly port: number }
  | { readonly kind: "replay"; readonly name: string; readonly path: string; readonly speed: number }
  | { readonly kind: "stdin"; readonly name: string };

export type ReceiverChange = Partial<Pick<StoredReceiver, "name" | "path" | "baudRate" | "port" | "keyHash">>;

/** What the pages are told, each after it was stored. */
export type HubEvent =
  | { readonly type: "receiver"; readonly body: ReceiverStatus }
  | {
      readonly type: "burst";
      readonly body: {
        readonly id: string;
        readonly at: string;
        readonly receiverId: string;
        readonly burst: BurstRecord;
      };
    }
  | {
      readonly type: "telegram";
      readonly body: Told & { readonly receiverId: string; readonly recordingHash: null };
    };

export interface HubOptions {
  readonly store: Store;
  readonly pool: Pick<Pool, "lines" | "samples">;
  readonly layouts: readonly Layout[];
  /** Milliseconds since 1970. */
  readonly now: () => number;
  /** Whether receivers that have a key may come in from the network. */
  readonly openToNetwork?: boolean | undefined;
  /** Times of day, each later than the one before. */
  readonly stamp: () => string;
  readonly emit: (event: HubEvent) => void;
  /** Where lines are kept to be decoded elsewhere; without it they go to the store and are decoded here. */
  readonly lines?: LinesElsewhere | undefined;
  /** What a receiver of kind `stdin` reads; without it there is one that says that nothing is piped in. */
  readonly standardInput?: LineStream | undefined;
}

/** All receivers of the house, running. */
export interface Hub {
  readonly receivers: () => Promise<readonly ReceiverStatus[]>;
  /** With its gaps. `undefined`: there is none of that id. */
  readonly receiver: (id: string) => Promise<ReceiverStatus | undefined>;
  /** Settles when it is known how its start went; `says` tells. */
  readonly add: (receiver: NewReceiver) => Promise<ReceiverStatus>;
  readonly change: (id: string, change: ReceiverChange) => Promise<ReceiverStatus | undefined>;
  /** `undefined`: there is none of that id. @param seconds How long it is looked at, at most. */
  readonly selfCheck: (id: string, seconds: number) => Promise<SelfCheck | undefined>;
  /** What it said stays in the store. False: there was none. */
  readonly remove: (id: string) => Promise<boolean>;
  /** For all that is decoded from now on. */
  readonly useLayouts: (layouts: readonly Layout[]) => void;
  /** What was decoded elsewhere of a receiver's lines, and stored. Nothing, for one that does not run here. */
  readonly hear: (receiverId: string, bursts: readonly BurstRecord[], telegrams: readonly Told[]) => void;
  /** The server of a fleet that a receiver belongs to, if that is another. */
  readonly elsewhere: (id: string) => Promise<string | undefined>;
  /** Settles when all that came so far is decoded and stored. */
  readonly rest: () => Promise<void>;
  /** Settles when all that came is kept. */
  readonly stop: () => Promise<void>;
}

/** Starts every receiver of the store, and decodes what they said before and was not decoded yet. */
export async function createHub(options: HubOptions): Promise<Hub> {
  const { store, stamp } = options;
  const running = new Map<string, RunningReceiver>();
  let { layouts } = options;

  async function start(receiver: StoredReceiver): Promise<RunningReceiver> {
    const { standardInput } = options;
    const one = await runReceiver({ ...options, standardInput, layouts, receiver });
    running.set(receiver.id, one);
    return one;
  }

  async function add(given: NewReceiver): Promise<ReceiverStatus> {
    const receiver: StoredReceiver = {
      id: randomUUID().slice(0, 8),
      name: given.name,
      kind: given.kind,
      path: "path" in given ? given.path : null,
      baudRate: "baudRate" in given ? given.baudRate : null,
      port: "port" in given ? given.port : null,
      speed: "speed" in given ? given.speed : null,
      keyHash: null,
      addedAt: stamp(),
    };
    await store.addReceiver(receiver);
    return (await start(receiver)).status();
  }

  const kept = await store.receivers();
  const endLife = await beginLife(store, stamp);
  await Promise.all(kept.map(start));
  const reads = kept.some(({ kind }) => kind === "stdin");
  if (options.standardInput && !reads) await add({ kind: "stdin", name: "standard input" });

  return {
    receivers: () => Promise.all([...running.values()].map((one) => one.status())),
    receiver: async (id) => running.get(id)?.status(),
    add,
    async change(id, change) {
      const one = running.get(id);
      if (!one || !(await store.changeReceiver(id, change))) return undefined;
      await one.change(change);
      return one.status();
    },
    selfCheck: async (id, seconds) => running.get(id)?.selfCheck(seconds),
    async remove(id) {
      const one = running.get(id);
      if (!one) return false;
      running.delete(id);
      await one.stop();
      return store.removeReceiver(id);
    },
    useLayouts(next) {
      layouts = next;
      for (const one of running.values()) one.useLayouts(next);
    },
    elsewhere: async () => undefined,
    hear: (id, bursts, telegrams) => running.get(id)?.hear(bursts, telegrams),
    async rest() {
      await Promise.all([...running.values()].map((one) => one.rest()));
    },
    async stop() {
      endLife();
      await Promise.all([...running.values()].map((one) => one.stop()));
    },
  };
}
