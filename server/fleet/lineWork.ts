import type { Claims } from "../store/postgres/claims.ts";
import type { PostgresStore } from "../store/postgres/postgres.ts";
import type { Pool } from "../work/pool.ts";
import { pause } from "./connect.ts";
import { type RunningPartition, runPartition } from "./partition.ts";
import { PARTITIONS } from "./partitions.ts";
import { openShelfLayouts } from "./shelfLayouts.ts";
import type { FleetStreams } from "./streams.ts";

export interface LineWorkOptions {
  readonly streams: Pick<FleetStreams, "manager" | "jetstream">;
  readonly store: PostgresStore;
  readonly pool: Pick<Pool, "lines">;
  /** How many workers there are, this one too, as far as is known. */
  readonly workers: () => number;
  readonly stamp: () => string;
  readonly say: (sentence: string) => void;
}

/** Stores and decodes lines of a fair share of the receivers. */
export interface LineWork {
  /** The partitions it has. */
  readonly partitions: () => readonly number[];
  /** Since it began. */
  readonly counts: () => { readonly lines: number; readonly bursts: number; readonly telegrams: number };
  /** Settles when what it had can be had by others. */
  readonly stop: () => Promise<void>;
}

const BALANCE_MS = 500;
const LOOK_MS = 5000;
const AGAIN_MS = 1000;
/** Begun at a time. */
const TOGETHER = 8;

export async function startLineWork(options: LineWorkOptions): Promise<LineWork> {
  const { store, say } = options;
  const ending = new AbortController();
  const { signal } = ending;
  const counts = { lines: 0, bursts: 0, telegrams: 0 };
  const shelf = await openShelfLayouts(store);
  let names = await receiverNames(store);
  let running = new Map<number, RunningPartition>();

  /** With one connection's claims, until they are lost or given back. */
  async function work(claims: Claims): Promise<void> {
    const mine = new Map<number, RunningPartition>();
    running = mine;
    let isLost = false;
    let lose: () => void = () => undefined;
    const lost = new Promise<void>((resume) => {
      lose = resume;
    });
    void claims.lost.then(() => lose());
    void lost.then(() => {
      isLost = true;
      for (const one of mine.values()) one.abandon();
    });

    async function begin(partition: number): Promise<void> {
      const counted = ({ lines = 0, bursts = 0, telegrams = 0 }: Partial<typeof counts>) => {
        counts.lines += lines;
        counts.bursts += bursts;
        counts.telegrams += telegrams;
      };
      const one = await runPartition({
        ...options,
        partition,
        claims,
        counted,
        layouts: shelf.current,
        nameOf: (id) => names.get(id) ?? id,
        onFailed(error) {
          if (!isLost) say(`Lines wait: ${error instanceof Error ? error.message : String(error)}`);
          lose();
        },
      });
      if (isLost) one.abandon();
      else mine.set(partition, one);
    }

    async function balance(): Promise<void> {
      const share = Math.ceil(PARTITIONS / Math.max(1, options.workers()));
      const tooMany = [...mine].slice(share);
      await Promise.all(
        tooMany.map(async ([partition, one]) => {
          mine.delete(partition);
          await one.stop();
          await claims.release(partition);
        }),
      );
      const others = shuffled(Array.from({ length: PARTITIONS }, (_, i) => i).filter((i) => !mine.has(i)));
      const claimed: number[] = [];
      for (const partition of others) {
        if (mine.size + claimed.length >= share || tooMany.length > 0) break;
        if (await claims.tryClaim(partition)) claimed.push(partition);
      }
      while (claimed.length > 0) await Promise.all(claimed.splice(0, TOGETHER).map(begin));
    }

    try {
      for (let lookedMs = performance.now(); !isLost && !signal.aborted; ) {
        await balance();
        if (performance.now() - lookedMs > LOOK_MS) {
          lookedMs = performance.now();
          names = await receiverNames(store);
          if (await shelf.look()) for (const one of mine.values()) one.useLayouts(shelf.current());
        }
        await Promise.race([lost, pause(BALANCE_MS, signal)]);
      }
      if (!isLost) await Promise.all([...mine.values()].map((one) => one.stop()));
    } finally {
      lose();
      await claims.close().catch(() => undefined);
    }
  }

  async function run(): Promise<void> {
    let told = "";
    while (!signal.aborted) {
      try {
        const claims = await store.claims();
        if (told !== "") say("The store answers again; receivers' lines are decoded.");
        told = "";
        await work(claims);
      } catch (error) {
        if (signal.aborted) return;
        const sentence = error instanceof Error ? error.message : String(error);
        if (sentence !== told) say(`Lines wait: ${sentence} It is tried again every ${AGAIN_MS / 1000} s.`);
        told = sentence;
      }
      await pause(AGAIN_MS, signal);
    }
  }

  const done = run();
  return {
    partitions: () => [...running.keys()].sort((a, b) => a - b),
    counts: () => ({ ...counts }),
    async stop() {
      ending.abort();
      await done;
    },
  };
}

async function receiverNames(store: PostgresStore): Promise<ReadonlyMap<string, string>> {
  return new Map((await store.receivers()).map(({ id, name }) => [id, name]));
}

/** So that workers which come at once do not all want the same. */
function shuffled(numbers: readonly number[]): number[] {
  return numbers
    .map((number) => ({ number, place: Math.random() }))
    .sort((a, b) => a.place - b.place)
    .map(({ number }) => number);
}
