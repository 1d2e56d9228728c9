import { randomUUID } from "node:crypto";
import { AckPolicy, type ConsumerMessages, DeliverPolicy, type JsMsg } from "nats";
import { pause } from "./connect.ts";
import { partitionName, partitionSubject } from "./partitions.ts";
import { type FleetStreams, LINES } from "./streams.ts";

/** The messages of a partition, each once and in their order, whatever becomes of connections and servers. */
export interface Reader {
  /** All that are at hand; waits for the first. Empty once it was stopped. */
  readonly next: () => Promise<readonly JsMsg[]>;
  readonly stop: () => void;
}

/** Fetched in one go. */
const TOGETHER = 64;
const FETCH_MS = 3000;
const AGAIN_MS = 200;
/** A consumer that nobody asks goes by itself. */
const UNUSED_NS = 30e9;

/** @param after Number in the stream of the last message that was read before. */
export function createReader(
  { manager, jetstream }: Pick<FleetStreams, "manager" | "jetstream">,
  partition: number,
  after: number,
): Reader {
  const ending = new AbortController();
  const { signal } = ending;
  let last = after;
  let waiting: JsMsg[] = [];
  let fetching: ConsumerMessages | undefined;
  let wake: () => void = () => undefined;
  let room: () => void = () => undefined;
  void run();

  async function run(): Promise<void> {
    while (!signal.aborted) {
      try {
        await readOn();
      } catch {
        await pause(AGAIN_MS, signal); // the server that had the consumer is gone: another one goes on
      }
    }
  }

  /** Until a message is missing, or its server. */
  async function readOn(): Promise<void> {
    const { name } = await manager.consumers.add(LINES, {
      name: `lines-${partitionName(partition)}-${randomUUID().slice(0, 8)}`,
      filter_subject: partitionSubject(partition),
      deliver_policy: DeliverPolicy.StartSequence,
      opt_start_seq: last + 1,
      ack_policy: AckPolicy.None,
      mem_storage: true,
      num_replicas: 1,
      inactive_threshold: UNUSED_NS,
    });
    try {
      const consumer = await jetstream.consumers.get(LINES, name);
      let delivered = 0;
      while (!signal.aborted) {
        fetching = await consumer.fetch({ max_messages: TOGETHER, expires: FETCH_MS });
        const before = delivered;
        for await (const message of fetching) {
          if (message.info.deliverySequence !== delivered + 1) return;
          delivered++;
          last = message.seq;
          waiting.push(message);
          wake();
        }
        // What got lost on the way is not missed before another one comes.
        if (delivered === before && !signal.aborted) {
          const { delivered: sent } = await manager.consumers.info(LINES, name);
          if (sent.consumer_seq !== delivered) return;
        }
        while (waiting.length >= TOGETHER && !signal.aborted) {
          await new Promise<void>((resume) => {
            room = resume;
          });
        }
      }
    } finally {
      manager.consumers.delete(LINES, name).catch(() => undefined);
    }
  }

  return {
    async next() {
      while (waiting.length === 0 && !signal.aborted) {
        await new Promise<void>((resume) => {
          wake = resume;
        });
      }
      if (signal.aborted) return [];
      const messages = waiting;
      waiting = [];
      room();
      return messages;
    },
    stop() {
      ending.abort();
      fetching?.stop();
      wake();
      room();
    },
  };
}
