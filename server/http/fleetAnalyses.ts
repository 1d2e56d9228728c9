import { randomUUID } from "node:crypto";
import { readFile, stat } from "node:fs/promises";
import type { NatsConnection } from "nats";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { forgetAside, sendWork } from "../fleet/aside.ts";
import { follow } from "../fleet/follow.ts";
import { createLayoutObjects } from "../fleet/layoutObjects.ts";
import type { Objects } from "../fleet/objects.ts";
import { openOrders } from "../fleet/orders.ts";
import { originalName, putFile, removeFile } from "../fleet/recordingObjects.ts";
import type { FleetStreams } from "../fleet/streams.ts";
import { STOP_SUBJECT } from "../fleet/workTask.ts";
import type { DataFolder } from "../store/dataFolder.ts";
import type { AnalysisState, Store, StoredRecording } from "../store/store.ts";
import { type Analyses, AT_WISH, STOPPED } from "./analyses.ts";
import type { Events } from "./events.ts";
import type { FleetSamples } from "./fleetSamples.ts";
import { logText } from "./logText.ts";
import { recordingFiles, samplesOf } from "./recordingFiles.ts";
import { createRest, type Rest } from "./rest.ts";

export interface FleetAnalysesOptions {
  readonly connection: NatsConnection;
  readonly streams: FleetStreams;
  /** Where samples are sent. */
  readonly objects: Objects;
  readonly samples: FleetSamples;
  readonly store: Store;
  readonly folder: DataFolder;
  readonly events: Pick<Events, "publish">;
  /** Those on the shelf at the moment. */
  readonly layouts: () => readonly Layout[];
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly log: (entry: string) => void;
}

/**
 * Recordings that the workers of a fleet analyse: this server puts the samples into the object store and the work into
 * the queue, and a worker does and saves the rest, whether this server still runs by then or not.
 */
export async function createFleetAnalyses(options: FleetAnalysesOptions): Promise<Analyses> {
  const { connection, streams, objects, samples, store, folder, events, layouts, now, log } = options;
  const layoutObjects = createLayoutObjects(objects);
  const orders = await openOrders(streams);
  const running = new Map<string, Running>();
  const stopping = new AbortController();

  async function tell(hash: string, analysis: AnalysisState): Promise<void> {
    await store.setAnalysis(hash, analysis);
    if (await store.recording(hash)) await events.publish("recording", { hash, analysis });
  }

  async function run(recording: StoredRecording, { order, abort, rest }: Running, isNew: boolean): Promise<void> {
    const { hash } = recording;
    try {
      if (isNew) await tell(hash, { state: "waiting", because: null, progress: 0 });
      await ask(recording, order);
    } catch (error) {
      if (!stopping.signal.aborted && !abort.signal.aborted) await tellWhy(recording, error);
      throw error;
    }
    const { signal } = abort;
    const outcome = await follow(connection, order, () => outcomeOf(hash, order), { onProgress: rest.told, signal });
    if (outcome === undefined) throw new Error(stopping.signal.aborted ? STOPPED : TAKEN_OVER);
    if (outcome.state !== "done") throw new Error(outcome.because ?? TAKEN_OVER);
  }

  async function ask(recording: StoredRecording, order: string): Promise<void> {
    const { hash, name } = recording;
    if (!(await isSent(hash))) await send(recording);
    const tried = await layoutObjects.put(layouts());
    await forgetAside(streams, hash);
    await orders.want(hash, order);
    await sendWork(streams, { kind: "recording", version: 1, order, hash, name, layouts: tried });
  }

  async function isSent(hash: string): Promise<boolean> {
    return (await objects.has(originalName(hash))) && (await objects.has(hash));
  }

  async function send(recording: StoredRecording): Promise<void> {
    const { hash } = recording;
    const at = samplesOf(folder, await samples.here(recording));
    await objects.put(originalName(hash), await readFile(recordingFiles(folder, hash).original));
    await putFile(objects, hash, at);
  }

  /** Once it is over: nobody wants it any more, or somebody asked for another. */
  async function outcomeOf(hash: string, order: string): Promise<AnalysisState | undefined> {
    if ((await orders.wanted(hash)) === order) return undefined;
    return (await store.recording(hash))?.analysis ?? { state: "failed", because: TAKEN_OVER, progress: 0 };
  }

  async function tellWhy({ hash }: StoredRecording, error: unknown): Promise<void> {
    const because = error instanceof Error ? error.message : String(error);
    try {
      await tell(hash, { state: "failed", because, progress: 0 });
    } catch {
      log(`the analysis of recording ${hash} could not be handed to the fleet: ${logText(error)}`);
    }
  }

  function begin(recording: StoredRecording, order: string, isNew: boolean): Promise<void> {
    if (stopping.signal.aborted) return Promise.reject(new Error(STOPPED));
    running.get(recording.hash)?.abort.abort(); // the newer order takes its place
    const abort = new AbortController();
    const one: Running = { order, abort, rest: createRest(now), done: Promise.resolve() };
    running.set(recording.hash, one);
    one.done = run(recording, one, isNew).finally(() => {
      if (running.get(recording.hash) === one) running.delete(recording.hash);
    });
    one.done.catch(() => undefined); // told to whoever waits for it, and kept in the store
    return one.done;
  }

  /** @returns Whether anybody wanted it. */
  async function drop(hash: string): Promise<boolean> {
    const order = await orders.wanted(hash);
    if (order === undefined) return false;
    await orders.drop(hash);
    connection.publish(STOP_SUBJECT, order);
    return true;
  }

  return {
    start: (recording) => begin(recording, randomUUID().replaceAll("-", ""), true),
    cancel(hash) {
      running.get(hash)?.abort.abort();
      const gone = async () => {
        await drop(hash);
        await forgetAside(streams, hash);
        await removeFile(objects, hash);
        await objects.remove(originalName(hash));
      };
      void gone().catch((error: unknown) => log(`recording ${hash} is still in the fleet: ${logText(error)}`));
    },
    async stopOne(hash) {
      const wasWanted = await drop(hash);
      const one = running.get(hash);
      one?.abort.abort();
      await one?.done.catch(() => undefined);
      if (wasWanted) await tell(hash, { state: "failed", because: AT_WISH, progress: 0 });
      return wasWanted;
    },
    restSeconds: (hash) => running.get(hash)?.rest.seconds(),
    async resume() {
      for (const recording of await store.recordings()) {
        const { state } = recording.analysis;
        if (state !== "waiting" && state !== "running") continue;
        // Of another server's recordings that server takes care, also where their samples were fetched.
        if (await samples.isElsewhere(recording.hash)) continue;
        const isHere = await stat(samplesOf(folder, recording).path).then(
          () => true,
          () => false,
        );
        if (!isHere || running.has(recording.hash)) continue;
        // Sent again under the same name it is in the queue once.
        const order = (await orders.wanted(recording.hash)) ?? randomUUID().replaceAll("-", "");
        void begin(recording, order, false);
      }
    },
    async stop() {
      stopping.abort();
      const all = [...running.values()];
      for (const { abort } of all) abort.abort();
      await Promise.allSettled(all.map(({ done }) => done));
    },
  };
}

interface Running {
  readonly order: string;
  readonly abort: AbortController;
  readonly rest: Rest;
  done: Promise<void>;
}

const TAKEN_OVER = "It was asked for anew, or taken away.";
