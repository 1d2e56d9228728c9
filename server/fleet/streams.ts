import {
  AckPolicy,
  type ConsumerConfig,
  DiscardPolicy,
  type JetStreamClient,
  type JetStreamManager,
  type KV,
  type NatsConnection,
  NatsError,
  type ObjectStore,
  RetentionPolicy,
  StorageType,
  type StreamConfig,
} from "nats";
import { pause } from "./connect.ts";
import { FleetError } from "./fleetError.ts";

export const LINES = "wheelgram-lines";
export const WORK = "wheelgram-work";
/** The consumer of `WORK` that all workers share. */
export const WORKERS = "workers";
const RECORDINGS = "wheelgram-recordings";
const RESULTS = "wheelgram-results";
const ASIDE = "wheelgram-aside";
const MEMBERS = "wheelgram-members";

/** What is kept in a fleet's NATS servers. */
export interface FleetStreams {
  readonly jetstream: JetStreamClient;
  readonly manager: JetStreamManager;
  /** On how many servers each thing is: 3 in a cluster, else 1. */
  readonly replicas: 1 | 3;
  /** By hash. */
  readonly recordings: ObjectStore;
  readonly results: ObjectStore;
  /** What was set aside. */
  readonly aside: KV;
  /** Heartbeats; one that is not renewed goes by itself. */
  readonly members: KV;
}

export interface StreamsOptions {
  /** Told in one sentence what it waits for, and at the end if it keeps on one server alone. */
  readonly say: (sentence: string) => void;
  readonly signal?: AbortSignal;
}

const AGAIN_MS = 500;
const ANSWER_MS = 5000;
const MINUTE_NS = 60e9;
/** A heartbeat is kept for so long. */
const MEMBER_MS = 10_000;
/** A study takes its results when they come; later they only spare a second one the decoding. */
const RESULT_MS = 7 * 24 * 3_600_000;
/** Within it a worker says that it is still at a piece of work. */
const ACK_WAIT_MS = 30_000;

/**
 * Makes the streams and stores of a fleet, or looks whether those that are there are as they should be. Waits as long as
 * a cluster takes to choose who leads it.
 *
 * @returns `undefined` if it was given up.
 * @throws FleetError if one of them was made by another program, or cannot be changed to what is needed.
 */
export async function openStreams(
  connection: NatsConnection,
  options: StreamsOptions,
): Promise<FleetStreams | undefined> {
  const manager = await keepTrying(options, () => connection.jetstreamManager({ timeout: ANSWER_MS }));
  if (!manager) return undefined;
  const replicas = connection.info?.cluster === undefined ? 1 : 3;
  const jetstream = connection.jetstream({ timeout: ANSWER_MS });
  const step = <T>(make: () => Promise<T>) => keepTrying(options, make);
  const stores = { replicas, storage: StorageType.File };
  const inOrder = [
    () => provide(manager, linesConfig(replicas)),
    () => provide(manager, workConfig(replicas)),
    () => provideConsumer(manager, replicas),
  ];
  for (const make of inOrder) if ((await step(make)) === undefined) return undefined;
  const recordings = await step(() => jetstream.views.os(RECORDINGS, stores));
  const results = await step(() => jetstream.views.os(RESULTS, stores));
  const aside = await step(() => jetstream.views.kv(ASIDE, { ...stores, history: 1 }));
  const members = await step(() => jetstream.views.kv(MEMBERS, { ...stores, history: 1, ttl: MEMBER_MS }));
  if (!recordings || !results || !aside || !members) return undefined;
  const made: readonly Wanted[] = [
    { name: `OBJ_${RECORDINGS}`, num_replicas: replicas },
    { name: `OBJ_${RESULTS}`, num_replicas: replicas, max_age: RESULT_MS * 1e6 },
    { name: `KV_${ASIDE}`, num_replicas: replicas },
    { name: `KV_${MEMBERS}`, num_replicas: replicas },
  ];
  for (const wanted of made) if ((await step(() => provide(manager, wanted))) === undefined) return undefined;
  if (replicas === 1) {
    options.say(
      "NATS runs as one server: what it keeps is on its disk alone. Three servers as a cluster keep it thrice.",
    );
  }
  return { jetstream, manager, replicas, recordings, results, aside, members };
}

function linesConfig(replicas: number) {
  return {
    name: LINES,
    subjects: ["wheelgram.lines.>"],
    retention: RetentionPolicy.Limits,
    discard: DiscardPolicy.New,
    storage: StorageType.File,
    num_replicas: replicas,
    duplicate_window: 10 * MINUTE_NS,
    allow_direct: true,
  };
}

function workConfig(replicas: number) {
  return {
    name: WORK,
    subjects: ["wheelgram.work.>"],
    retention: RetentionPolicy.Workqueue,
    discard: DiscardPolicy.New,
    storage: StorageType.File,
    num_replicas: replicas,
    duplicate_window: 10 * MINUTE_NS,
  };
}

type Wanted = Partial<StreamConfig> & { readonly name: string; readonly num_replicas: number };

/** Makes a stream, or brings one that is there to what is wanted. */
async function provide(manager: JetStreamManager, wanted: Wanted): Promise<true> {
  const found = await manager.streams.info(wanted.name).catch(unlessMissing);
  if (found === undefined) {
    await manager.streams.add(wanted);
    return true;
  }
  const { config } = found;
  for (const key of ["retention", "storage", "discard"] as const) {
    if (wanted[key] !== undefined && config[key] !== wanted[key]) {
      throw new FleetError(
        `The NATS stream ${wanted.name} is there with ${key} ${config[key]}, and ${wanted[key]} is needed: another program made it.`,
        `Take it away (nats stream rm ${wanted.name}), or give the fleet NATS servers of its own.`,
      );
    }
  }
  const isSame =
    config.num_replicas === wanted.num_replicas &&
    (wanted.max_age === undefined || config.max_age === wanted.max_age) &&
    (wanted.duplicate_window === undefined || config.duplicate_window === wanted.duplicate_window) &&
    (wanted.subjects === undefined || JSON.stringify(config.subjects) === JSON.stringify(wanted.subjects));
  if (!isSame) await manager.streams.update(wanted.name, { ...config, ...wanted });
  return true;
}

async function provideConsumer(manager: JetStreamManager, replicas: number): Promise<true> {
  const wanted: Partial<ConsumerConfig> = {
    durable_name: WORKERS,
    ack_policy: AckPolicy.Explicit,
    ack_wait: ACK_WAIT_MS * 1e6,
    max_ack_pending: 10_000,
    num_replicas: replicas,
  };
  if ((await manager.consumers.info(WORK, WORKERS).catch(unlessMissing)) === undefined) {
    await manager.consumers.add(WORK, wanted);
  }
  return true;
}

function unlessMissing(error: unknown): undefined {
  if (error instanceof NatsError && error.api_error?.code === 404) return undefined;
  throw error;
}

/** While servers start, or choose who leads, they refuse or say nothing. */
async function keepTrying<T>({ say, signal }: StreamsOptions, make: () => Promise<T>): Promise<T | undefined> {
  let told = "";
  while (!signal?.aborted) {
    try {
      const made = await make();
      if (told !== "") say("JetStream answers.");
      return made;
    } catch (error) {
      if (error instanceof FleetError) throw error;
      const sentence = `JetStream keeps nothing yet: ${whyNot(error)} It is tried again.`;
      if (sentence !== told) say(sentence);
      told = sentence;
      await pause(AGAIN_MS, signal);
    }
  }
  return undefined;
}

function whyNot(error: unknown): string {
  if (error instanceof NatsError && error.api_error === undefined) {
    return "a cluster that starts has to choose who leads it; a server that stands alone has to be started with jetstream.";
  }
  const because = error instanceof Error ? error.message : String(error);
  return /peers|insufficient|resources/i.test(because)
    ? `${because}; it needs three servers that run and have room.`
    : `${because}.`;
}
