import { connect, type Socket } from "node:net";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { TelegramRecord } from "../../decoders/records.ts";
import { createHub, type Hub, type HubEvent } from "../../server/receivers/hub.ts";
import { createStamps } from "../../server/receivers/stamps.ts";
import type { Store } from "../../server/store/store.ts";
import { createPool, type Pool } from "../../server/work/pool.ts";
import { openBench } from "./receiver-bench.ts";

export interface HubBench {
  readonly store: Store;
  readonly pool: Pool;
  readonly hub: Hub;
  readonly events: HubEvent[];
  readonly close: () => Promise<void>;
}

/** A hub with a store of its own and one decoding thread. */
export async function openHub(): Promise<HubBench> {
  const bench = await openBench();
  await bench.store.removeReceiver("r1");
  const pool = createPool(1);
  const events: HubEvent[] = [];
  const hub = await hubOf(bench.store, pool, events);
  return {
    store: bench.store,
    pool,
    hub,
    events,
    async close() {
      await hub.stop();
      await pool.stop();
      await bench.close();
    },
  };
}

export function hubOf(store: Store, pool: Pool, events: HubEvent[] = []): Promise<Hub> {
  return createHub({
    store,
    pool,
    layouts: builtinLayouts,
    now: Date.now,
    stamp: createStamps(Date.now),
    emit: (event) => events.push(event),
  });
}

/** Every telegram of a receiver that is stored. */
export async function telegramsOf(store: Store, receiverId: string): Promise<TelegramRecord[]> {
  const page = await store.telegrams({ receiverId, limit: 10_000 });
  return page.items.map(({ telegram }) => telegram);
}

export interface Talk {
  readonly socket: Socket;
  /** What came back, as JSON values. */
  readonly answers: unknown[];
  readonly send: (bytes: Uint8Array | string) => Promise<void>;
  readonly end: () => Promise<void>;
}

/** A connection to a port of this computer. @param host The address that it is asked for by. */
export async function talkTo(port: number, host = "127.0.0.1"): Promise<Talk> {
  const socket = connect(port, host);
  const answers: unknown[] = [];
  let rest = "";
  socket.setEncoding("utf8");
  socket.on("error", () => undefined);
  socket.on("data", (text: string) => {
    const lines = (rest + text).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) answers.push(JSON.parse(line));
  });
  await new Promise<void>((resume, reject) => {
    socket.once("connect", () => resume());
    socket.once("error", reject);
  });
  return {
    socket,
    answers,
    send: (bytes) => new Promise((resume) => socket.write(bytes, () => resume())),
    end: () =>
      new Promise((resume) => {
        socket.once("close", () => resume());
        socket.end();
      }),
  };
}
