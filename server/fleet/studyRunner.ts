import { createHash, randomUUID } from "node:crypto";
import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { basename } from "node:path";
import type { Msg, NatsConnection } from "nats";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { openRecording } from "../recordings/openRecording.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import type { StudyRunner, StudyTask } from "../study/runner.ts";
import { isLineFile } from "../work/openSource.ts";
import { forgetAside, sendWork } from "./aside.ts";
import { fingerprint } from "./fingerprint.ts";
import { follow } from "./follow.ts";
import { createLayoutObjects } from "./layoutObjects.ts";
import { createObjects } from "./objects.ts";
import { putFile } from "./recordingObjects.ts";
import type { FleetStreams } from "./streams.ts";
import { askSubject, type InputTask, type PutFiles, STOP_SUBJECT, StoredResult } from "./workTask.ts";

export interface StudyRunnerOptions {
  readonly connection: NatsConnection;
  readonly streams: FleetStreams;
  /** Of this program: results of another version are not taken. */
  readonly toolVersion: string;
  /** Inputs on their way at once. */
  readonly size: number;
}

const CANCELLED = "It was cancelled.";

/**
 * Has the workers of a fleet analyse the inputs of a study. A recording is sent only where a worker asks for it: one
 * that finds the same files at the same place reads them there.
 */
export function createStudyRunner({ connection, streams, toolVersion, size }: StudyRunnerOptions): StudyRunner {
  const recordings = createObjects(streams, "recordings");
  const results = createObjects(streams, "results");
  const layouts = createLayoutObjects(recordings);
  const stopping = new AbortController();

  async function stored(key: string): Promise<Result<readonly AnalysisRecord[], string> | undefined> {
    const bytes = await results.get(key);
    if (bytes === undefined) return undefined;
    const result = StoredResult.parse(JSON.parse(Buffer.from(bytes).toString()));
    // Workers of the same version wrote it: the key says so.
    return result.ok ? succeed(result.records as readonly AnalysisRecord[]) : fail(result.because);
  }

  async function run(task: StudyTask, signal: AbortSignal): Promise<Result<readonly AnalysisRecord[], string>> {
    const files = await filesOf(task);
    if (!files.ok) return files;
    const print = await fingerprint(files.value);
    if (print === undefined) return fail(`${task.path}: its files cannot be read.`);
    const tried = await layouts.put(task.layouts);
    const key = keyOf([toolVersion, task.hash, print, task.hints, tried]);
    const before = await stored(key);
    if (before?.ok) return before;
    if (before) await results.remove(key); // it is to be tried again
    await forgetAside(streams, key);
    const order = randomUUID().replaceAll("-", "");
    const { hints, name } = task;
    const work: InputTask = {
      kind: "input",
      version: 1,
      order,
      key,
      name,
      files: [...files.value],
      fingerprint: print,
      hints,
      layouts: tried,
    };
    const answer = answering(files.value);
    const asked = connection.subscribe(askSubject(order), { callback: (_, message) => answer(message) });
    try {
      await sendWork(streams, work);
      const { onProgress } = task;
      const outcome = await follow(connection, order, () => stored(key), { onProgress, signal });
      if (outcome) return outcome;
      connection.publish(STOP_SUBJECT, order);
      return fail(CANCELLED);
    } finally {
      asked.unsubscribe();
    }
  }

  /** Puts the files into the object store at the first question, and says where once they are there. */
  function answering(paths: readonly string[]): (question: Msg) => void {
    let put: PutFiles | undefined;
    let isPutting = false;
    return (question) => {
      question.respond(put ? JSON.stringify(put) : "");
      if (put || isPutting) return;
      isPutting = true;
      void putAll(paths)
        .then(
          (all) => {
            put = all;
          },
          () => undefined, // the next question begins anew
        )
        .finally(() => {
          isPutting = false;
        });
    };
  }

  async function putAll(paths: readonly string[]): Promise<PutFiles> {
    const all: PutFiles = [];
    for (const path of paths) {
      const hash = await fileHash(path);
      await putFile(recordings, hash, { path, fromByte: 0, bytes: (await stat(path)).size });
      all.push({ name: basename(path), hash });
    }
    return all;
  }

  return {
    size,
    async analyse(task) {
      const signal = AbortSignal.any([task.signal, stopping.signal]);
      if (signal.aborted) return fail(CANCELLED);
      return run(task, signal).catch((error: unknown) => fail(error instanceof Error ? error.message : String(error)));
    },
    async rest() {}, // none of its threads are here
    async stop() {
      stopping.abort();
    },
  };
}

/** All that has to be there for it to be read; the one to be opened comes first. */
async function filesOf({ path, hints }: StudyTask): Promise<Result<readonly string[], string>> {
  if (isLineFile(path)) return succeed([path]);
  const opened = await openRecording(path, hints);
  if (!opened.ok) return fail(opened.error.message);
  const { origin } = opened.value;
  return succeed(origin.kind === "sigmf" ? [origin.metaPath, origin.dataPath] : [path]);
}

function keyOf(parts: readonly unknown[]): string {
  return createHash("sha256").update(JSON.stringify(parts)).digest("hex");
}

async function fileHash(path: string): Promise<string> {
  const sum = createHash("sha512");
  for await (const block of createReadStream(path)) sum.update(block as Buffer);
  return sum.digest("hex");
}
