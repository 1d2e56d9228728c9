import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { recordingTelegrams } from "../fleet/recordingTelegrams.ts";
import type { DataFolder } from "../store/dataFolder.ts";
import type { AnalysisState, Store, StoredPlace, StoredRecording } from "../store/store.ts";
import type { Pool } from "../work/pool.ts";
import type { Events } from "./events.ts";
import { logText } from "./logText.ts";
import { placeWords } from "./placeWords.ts";
import { placeState, recordingFiles, samplesOf } from "./recordingFiles.ts";
import { createRest, type Rest } from "./rest.ts";

/** Recordings being analysed, or waiting for their turn. */
export interface Analyses {
  /** @returns Settles when the result is saved; rejects with why there is none, which the store then has too. */
  start(recording: StoredRecording): Promise<void>;
  /** Of a recording that is taken away. */
  cancel(hash: string): void;
  /** At somebody's wish. The store then has that it was stopped. @returns false where nothing runs. */
  stopOne(hash: string): Promise<boolean>;
  /** How long the analysis that runs will take, as far as it can be told. */
  restSeconds(hash: string): number | undefined;
  /** Starts what an earlier run of the server left undone. */
  resume(): Promise<void>;
  /** What runs is left for the next run of the server. Settles when nothing runs. */
  stop(): Promise<void>;
}

export interface AnalysesOptions {
  readonly store: Store;
  readonly folder: DataFolder;
  readonly pool: Pick<Pool, "analyse">;
  readonly events: Events;
  /** Those on the shelf at the moment. */
  readonly layouts: () => readonly Layout[];
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly log: (entry: string) => void;
}

export const AT_WISH = "It was stopped. Nothing of the recording is lost; analyse it again whenever you like.";
export const STOPPED = "The server was stopped; its next start goes on.";
/** Progress is told once in so many milliseconds. */
const TELL_EVERY_MS = 500;

export function createAnalyses({ store, folder, pool, events, layouts, now, log }: AnalysesOptions): Analyses {
  const running = new Map<string, Running>();
  let stopping = false;

  async function tell(hash: string, analysis: AnalysisState): Promise<void> {
    await store.setAnalysis(hash, analysis);
    await publish(hash, analysis);
  }

  /** Of one that was taken away meanwhile nothing is told any more, or it would come back on the pages. */
  async function publish(hash: string, analysis: AnalysisState): Promise<void> {
    if (!(await store.recording(hash))) return;
    const restSeconds = analysis.state === "running" ? running.get(hash)?.rest.seconds() : undefined;
    const told = restSeconds === undefined ? analysis : { ...analysis, restSeconds };
    await events.publish("recording", { hash, analysis: told });
  }

  async function run(recording: StoredRecording, signal: AbortSignal): Promise<void> {
    try {
      await analyse(recording, signal);
    } catch (error) {
      if (!stopping && (!signal.aborted || signal.reason === AT_WISH)) await tellWhy(recording, error);
      throw error;
    }
  }

  /** What failed must not look as if it ran for ever. */
  async function tellWhy({ hash }: StoredRecording, error: unknown): Promise<void> {
    const because = error instanceof Error ? error.message : String(error);
    try {
      await tell(hash, { state: "failed", because, progress: 0 });
    } catch {
      // On a full disk nothing can be saved, not even that; the next start tries again.
      log(`the analysis of recording ${hash} could not be saved: ${logText(error)}`);
    }
  }

  async function analyse(recording: StoredRecording, signal: AbortSignal): Promise<void> {
    const { hash, name } = recording;
    const tried = layouts();
    let toldMs = Number.NEGATIVE_INFINITY;
    let telling = tell(hash, { state: "waiting", because: null, progress: 0 });
    telling.catch(() => undefined); // it is waited for below
    if (recording.place) await placeThere(recording.place);
    const outcome = await pool.analyse({
      path: recordingFiles(folder, hash).meta,
      dataAt: samplesOf(folder, recording),
      layouts: tried,
      signal,
      onProgress(share) {
        running.get(hash)?.rest.told(share);
        if (now() - toldMs < TELL_EVERY_MS || signal.aborted) return;
        toldMs = now();
        telling = telling.then(() =>
          signal.aborted ? undefined : tell(hash, { state: "running", because: null, progress: share }),
        );
        telling.catch(() => undefined);
      },
    });
    await telling;
    if (stopping) throw new Error(STOPPED);
    if (signal.reason === AT_WISH) throw new Error(AT_WISH);
    if (signal.aborted) throw new Error("The recording was taken away.");
    if (!outcome.ok) {
      // The store's own name of the file says nothing to anybody.
      throw new Error(outcome.error.replaceAll(samplesOf(folder, recording).path, () => name));
    }
    const records = outcome.value.map((record): AnalysisRecord => ({ ...record, file: name }));
    await store.saveAnalysis(hash, records, recordingTelegrams(recording, records, tried));
    await publish(hash, { state: "done", because: null, progress: 1 });
  }

  async function placeThere(place: StoredPlace): Promise<void> {
    const state = await placeState(folder, place);
    if (state !== "there") throw new Error(placeWords(place, state));
  }

  function start(recording: StoredRecording): Promise<void> {
    if (stopping) return Promise.reject(new Error(STOPPED));
    running.get(recording.hash)?.abort.abort(); // the newer one reads with newer layouts
    const abort = new AbortController();
    const done = run(recording, abort.signal).finally(() => {
      if (running.get(recording.hash)?.abort === abort) running.delete(recording.hash);
    });
    done.catch(() => undefined); // told to whoever waits for it, and kept in the store
    running.set(recording.hash, { abort, done, rest: createRest(now) });
    return done;
  }

  return {
    start,
    cancel: (hash) => running.get(hash)?.abort.abort(),
    async stopOne(hash) {
      const one = running.get(hash);
      one?.abort.abort(AT_WISH);
      await one?.done.catch(() => undefined);
      return one !== undefined;
    },
    restSeconds: (hash) => running.get(hash)?.rest.seconds(),
    async resume() {
      for (const recording of await store.recordings()) {
        const { state } = recording.analysis;
        if ((state === "waiting" || state === "running") && !running.has(recording.hash)) void start(recording);
      }
    },
    async stop() {
      stopping = true;
      const all = [...running.values()];
      for (const { abort } of all) abort.abort();
      await Promise.allSettled(all.map(({ done }) => done));
    },
  };
}

interface Running {
  readonly abort: AbortController;
  readonly done: Promise<void>;
  readonly rest: Rest;
}
