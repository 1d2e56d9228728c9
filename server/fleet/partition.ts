import type { JsMsg } from "nats";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { createDecodings, type Decodings } from "../receivers/decodings.ts";
import { heardEvents } from "../receivers/heard.ts";
import { openMarks } from "../receivers/marks.ts";
import type { Claims } from "../store/postgres/claims.ts";
import type { Store, StoredLine } from "../store/store.ts";
import type { Pool } from "../work/pool.ts";
import { readLineMessage } from "./lineMessage.ts";
import { later, readLineState } from "./lineState.ts";
import { partitionSetting, partitionSubject, receiverOf } from "./partitions.ts";
import { createReader } from "./reader.ts";
import { type FleetStreams, LINES } from "./streams.ts";

export interface PartitionOptions {
  readonly partition: number;
  readonly streams: Pick<FleetStreams, "manager" | "jetstream">;
  /** What is written goes through it: nothing more can be once the partition is another's. */
  readonly claims: Claims;
  readonly store: Store;
  readonly pool: Pick<Pool, "lines">;
  readonly layouts: () => readonly Layout[];
  /** As it was set up; its id where that is not known. */
  readonly nameOf: (receiverId: string) => string;
  readonly stamp: () => string;
  readonly say: (sentence: string) => void;
  /** It cannot go on: what it has is to be given to another, or begun again. */
  readonly onFailed: (error: unknown) => void;
  readonly counted: (counts: {
    readonly lines?: number;
    readonly bursts?: number;
    readonly telegrams?: number;
  }) => void;
}

/** The lines of a partition's receivers, stored and decoded in their order. */
export interface RunningPartition {
  readonly useLayouts: (layouts: readonly Layout[]) => void;
  /** Settles when all that was read is stored, and it is written down where decoding goes on. */
  readonly stop: () => Promise<void>;
  /** It is another's by now: at once, and without a trace. */
  readonly abandon: () => void;
}

interface Group {
  readonly receiverId: string;
  readonly lines: StoredLine[];
}

const PURGE_EVERY_MS = 10_000;

/** @throws StoreError if the claims were lost meanwhile. */
export async function runPartition(options: PartitionOptions): Promise<RunningPartition> {
  const { partition, streams, claims, store, counted } = options;
  const stream = {}; // of the marks: all of a partition comes by one road
  const decodings = new Map<string, Decodings>();
  const { position, last } = await readLineState(store, partition);
  let reached = position;
  let purged = position;
  const lastAt = new Map(Object.entries(last));
  let isLost = false;

  const heard = {
    linesOf: store.linesOf,
    telegram: store.telegram,
    quarantine: claims.quarantine,
    keepHeard:
      (receiverId: string): Store["keepHeard"] =>
      async (bursts, telegrams) => {
        const events = heardEvents(receiverId, bursts, telegrams);
        const texts = events.map(({ type, body }) => ({ type, text: JSON.stringify(body) }));
        await claims.keepHeard(bursts, telegrams, texts);
      },
  };

  async function decodingsOf(receiverId: string): Promise<Decodings> {
    const known = decodings.get(receiverId);
    if (known) return known;
    const marks = await openMarks({ setting: store.setting, setSetting: claims.setSetting }, receiverId);
    const made = createDecodings({
      receiverId,
      receiverName: () => options.nameOf(receiverId),
      store: { ...heard, keepHeard: heard.keepHeard(receiverId) },
      marks,
      pool: options.pool,
      layouts: options.layouts(),
      stamp: options.stamp,
      onHeard: (bursts, telegrams) =>
        counted({ bursts: bursts.length, telegrams: telegrams.filter(({ revision }) => revision === 1).length }),
      onCaughtUp: () => undefined,
      onFault(error) {
        if (!isLost) options.say(`Decoding of ${options.nameOf(receiverId)} begins again: ${String(error)}`);
      },
    });
    decodings.set(receiverId, made);
    return made;
  }

  async function take(messages: readonly JsMsg[]): Promise<void> {
    const groups = new Map<string, Group>(); // by receiver and boot, in the order they came
    for (const message of messages) {
      const receiverId = receiverOf(message.subject);
      for (const line of linesIn(message)) {
        const key = JSON.stringify([receiverId, line.boot]);
        const group = groups.get(key) ?? { receiverId, lines: [] };
        const receivedAt = later(line.receivedAt, lastAt.get(receiverId));
        lastAt.set(receiverId, receivedAt);
        group.lines.push({ ...line, receivedAt });
        groups.set(key, group);
      }
    }
    const all = [...groups.values()];
    for (const { receiverId, lines } of all) {
      const lowest = lines.reduce((least, { sequence }) => Math.min(least, sequence), Number.POSITIVE_INFINITY);
      await (await decodingsOf(receiverId)).expect(stream, lines[0]?.boot ?? "", lowest);
    }
    const next = messages.at(-1)?.seq ?? reached;
    const text = JSON.stringify({ position: next, last: Object.fromEntries(lastAt) });
    const isNew = await claims.keepGroups(all, { name: partitionSetting(partition), text });
    reached = next;
    for (const [i, { receiverId, lines }] of all.entries()) {
      const fresh = lines.filter((_, j) => isNew[i]?.[j]);
      counted({ lines: fresh.length });
      if (fresh.length > 0) (await decodingsOf(receiverId)).take(fresh[0]?.boot ?? "", fresh);
    }
  }

  /** One that nobody of ours has written is passed over. */
  function linesIn(message: JsMsg): readonly StoredLine[] {
    try {
      return readLineMessage(message.data);
    } catch (error) {
      options.say(
        `Message ${message.seq} of ${LINES} holds no lines of a receiver and is passed over: ${String(error)}`,
      );
      return [];
    }
  }

  async function purge(): Promise<void> {
    if (purged === reached) return;
    const upTo = reached;
    try {
      await streams.manager.streams.purge(LINES, { filter: partitionSubject(partition), seq: upTo + 1 });
      purged = upTo;
    } catch {
      // The next time will do: nothing is read twice for that.
    }
  }

  for (const [receiverId, until] of Object.entries(last)) (await decodingsOf(receiverId)).resume(until);
  const reader = createReader(streams, partition, position);
  const timer = setInterval(() => void purge(), PURGE_EVERY_MS);
  timer.unref();
  const running = run();

  async function run(): Promise<void> {
    for (;;) {
      const messages = await reader.next();
      if (messages.length === 0) return;
      try {
        await take(messages);
      } catch (error) {
        if (isLost) return;
        throw error;
      }
    }
  }

  function end(): void {
    clearInterval(timer);
    reader.stop();
  }

  running.catch((error: unknown) => {
    end();
    options.onFailed(error);
  });
  return {
    useLayouts(next) {
      for (const one of decodings.values()) one.useLayouts(next);
    },
    async stop() {
      end();
      await running;
      await Promise.all([...decodings.values()].map((one) => one.stop()));
      void purge();
    },
    abandon() {
      isLost = true;
      end();
      for (const one of decodings.values()) one.stop().catch(() => undefined);
    },
  };
}
