import { mkdir, rm } from "node:fs/promises";
import { join } from "node:path";
import type { JsMsg, NatsConnection } from "nats";
import type { Store } from "../store/store.ts";
import { asideId, putAside } from "./aside.ts";
import { openCache } from "./cache.ts";
import { pause } from "./connect.ts";
import { createGate } from "./gate.ts";
import { createLayoutObjects } from "./layoutObjects.ts";
import { createObjects } from "./objects.ts";
import { openOrders, type Tries } from "./orders.ts";
import type { WorkBench } from "./perform.ts";
import { type Outcome, performInput } from "./performInput.ts";
import { performRecording, tellFailed } from "./performRecording.ts";
import { createSeats } from "./seats.ts";
import { type FleetStreams, WORK, WORKERS } from "./streams.ts";
import { STOP_SUBJECT, toldSubject, WorkTask } from "./workTask.ts";

/** What a worker takes out of the work queue: recordings of the house, and inputs of studies. */
export interface WorkQueue {
  readonly busyWith: () => readonly Busy[];
  /** Pieces of work that it has brought to an end. */
  readonly done: () => number;
  /** What it was at goes back into the queue. */
  readonly stop: () => Promise<void>;
}

export interface Busy {
  readonly what: string;
  /** RFC 3339. */
  readonly since: string;
  /** Done, 0 to 1. */
  readonly share: number;
}

export interface WorkQueueOptions {
  readonly connection: NatsConnection;
  readonly streams: FleetStreams;
  readonly store: Pick<Store, "recording" | "setAnalysis" | "saveAnalysis" | "appendEvents">;
  /** Of this worker. */
  readonly name: string;
  readonly threads: number;
  /** For recordings that were fetched: two folders in it, `files` and `at-work`, of which nothing stays. */
  readonly cacheFolder: string;
  readonly cacheBytes: number;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly log: (entry: string) => void;
}

/** What a worker ends of, or fails, so often is set aside. */
const MOST_TRIES = 3;
const STALL_MS = 300_000;
/** So long a pull waits for work; a stop waits for it. */
const PULL_MS = 1500;
/** Before what failed is tried again. */
const AGAIN_MS = 1000;
const AWAY_MS = 3000;
const ENDED = "Each time the worker that was at it ended, or was cut off, without a word.";

/** Begins to take work, one piece for each thread and one that is fetched meanwhile. */
export async function startWorkQueue(options: WorkQueueOptions): Promise<WorkQueue> {
  const { connection, streams, store, name, threads, now, log } = options;
  const recordings = createObjects(streams, "recordings");
  const results = createObjects(streams, "results");
  const orders = await openOrders(streams);
  const cacheFiles = join(options.cacheFolder, "files");
  const cache = await openCache(cacheFiles, options.cacheBytes);
  const folder = join(options.cacheFolder, "at-work");
  await mkdir(folder, { recursive: true });
  const seats = createSeats(threads);
  const layouts = createLayoutObjects(recordings);
  const bench: WorkBench = { connection, recordings, layouts, cache, seats, folder, stallMs: STALL_MS };
  const gate = createGate();
  const running = new Map<string, Running>();
  const stopping = new AbortController();
  let done = 0;

  const consumer = await streams.jetstream.consumers.get(WORK, WORKERS);
  const ackWaitMs = ((await consumer.info(true)).config.ack_wait ?? 30e9) / 1e6;
  const unwanted = connection.subscribe(STOP_SUBJECT, {
    callback: (_, { data }) => running.get(Buffer.from(data).toString())?.abort.abort(UNWANTED),
  });

  async function lane(): Promise<void> {
    while (!stopping.signal.aborted) {
      try {
        const message = await consumer.next({ expires: PULL_MS });
        if (message) await take(message);
      } catch (error) {
        if (stopping.signal.aborted) return;
        log(`work could not be taken: ${wordsOf(error)}`);
        await pause(AGAIN_MS, stopping.signal);
      }
    }
  }

  async function take(message: JsMsg): Promise<void> {
    if (stopping.signal.aborted) return message.nak();
    const task = taskOf(message);
    if (!task) {
      log(`a piece of work was not understood: it is of another version of Wheelgram`);
      return message.nak(ackWaitMs);
    }
    const heartbeat = setInterval(() => message.working(), ackWaitMs / 3);
    try {
      await handle(task, message);
    } catch (error) {
      log(`${task.name} goes back into the queue: ${wordsOf(error)}`);
      message.nak(AWAY_MS);
    } finally {
      clearInterval(heartbeat);
    }
  }

  async function handle(task: WorkTask, message: JsMsg): Promise<void> {
    const isFirst = message.info.deliveryCount === 1;
    const before: Tries = isFirst
      ? { count: 0, because: "" }
      : ((await orders.tries(task.order)) ?? { count: message.info.deliveryCount - 1, because: "" });
    if (before.count >= MOST_TRIES) return setAside(task, before, message);
    // One that a worker may have ended of is tried alone, or others would be blamed with it.
    const leave = await gate.enter(before.count > 0);
    try {
      if (!isFirst) await orders.putTries(task.order, { count: before.count + 1, because: "" });
      const outcome = await attempt(task);
      if (outcome === "later") {
        await orders.putTries(task.order, before); // that try says nothing against it
        return message.nak(stopping.signal.aborted ? 0 : AWAY_MS);
      }
      if (outcome === "over") {
        done++;
        await finish(task, message, isFirst);
        return;
      }
      const tries = { count: before.count + 1, because: outcome.because };
      await orders.putTries(task.order, tries);
      if (tries.count < MOST_TRIES) return message.nak(AGAIN_MS);
      await setAside(task, tries, message);
    } finally {
      leave();
    }
  }

  async function attempt(task: WorkTask): Promise<Outcome> {
    const abort = new AbortController();
    const end = () => abort.abort();
    stopping.signal.addEventListener("abort", end);
    const one: Running = { abort, what: task.name, since: new Date(now()).toISOString(), share: 0 };
    running.set(task.order, one);
    const at = {
      signal: abort.signal,
      onProgress(share: number) {
        one.share = share;
        connection.publish(toldSubject(task.order), JSON.stringify({ share, over: false }));
      },
    };
    try {
      if (task.kind === "input") return await performInput({ ...bench, results }, task, at);
      return await performRecording({ ...bench, store, orders, now }, task, at);
    } catch (error) {
      if (abort.signal.reason === UNWANTED) return "over";
      if (stopping.signal.aborted || !(await isFleetWell())) {
        log(`${task.name} is tried later: ${wordsOf(error)}`);
        return "later";
      }
      return { because: wordsOf(error) };
    } finally {
      stopping.signal.removeEventListener("abort", end);
      running.delete(task.order);
    }
  }

  /** Where the fleet itself has a fault, that says nothing against the piece of work. */
  async function isFleetWell(): Promise<boolean> {
    const answers = Promise.all([store.recording(""), connection.flush()]).then(
      () => true,
      () => false,
    );
    return Promise.race([answers, pause(AWAY_MS).then(() => false)]);
  }

  async function setAside(task: WorkTask, { count, because }: Tries, message: JsMsg): Promise<void> {
    const why = because === "" ? ENDED : because;
    const at = new Date(now()).toISOString();
    const entry = { id: asideId(task), name: task.name, kind: task.kind, tries: count, because: why, at, worker: name };
    await putAside(streams, { ...entry, task });
    if (task.kind === "recording") await tellFailed({ store, orders }, task, count, why);
    else await results.put(task.key, Buffer.from(JSON.stringify({ ok: false, because: why })));
    log(`${task.name} was set aside after ${count} tries: ${why}`);
    await finish(task, message, false);
  }

  async function finish(task: WorkTask, message: JsMsg, isFirst: boolean): Promise<void> {
    connection.publish(toldSubject(task.order), JSON.stringify({ share: 1, over: true }));
    // What is not acknowledged comes again, and is then found done.
    await message.ackAck().catch(() => message.ack());
    if (!isFirst) await orders.forgetTries(task.order);
  }

  const lanes = Array.from({ length: threads + 1 }, lane);
  return {
    busyWith: () => [...running.values()].map(({ what, since, share }) => ({ what, since, share })),
    done: () => done,
    async stop() {
      stopping.abort();
      unwanted.unsubscribe();
      await seats.stop();
      await Promise.all(lanes);
      await Promise.all([cacheFiles, folder].map((path) => rm(path, { recursive: true, force: true })));
    },
  };
}

interface Running extends Busy {
  readonly abort: AbortController;
  share: number;
}

const UNWANTED = "Nobody wants it any more.";

function taskOf(message: JsMsg): WorkTask | undefined {
  try {
    return WorkTask.parse(message.json());
  } catch {
    return undefined;
  }
}

function wordsOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
