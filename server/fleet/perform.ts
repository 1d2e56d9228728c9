import { randomUUID } from "node:crypto";
import { link, mkdir, rm, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import type { NatsConnection } from "nats";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { fail, type Result } from "../recordings/result.ts";
import type { AnalyseTask } from "../work/pool.ts";
import type { Cache } from "./cache.ts";
import { fingerprint } from "./fingerprint.ts";
import type { LayoutObjects } from "./layoutObjects.ts";
import type { Objects } from "./objects.ts";
import { getFile } from "./recordingObjects.ts";
import type { Seats } from "./seats.ts";
import { askSubject, type InputTask, PutFiles } from "./workTask.ts";

/** With what a worker analyses. */
export interface WorkBench {
  readonly connection: NatsConnection;
  readonly recordings: Objects;
  readonly layouts: LayoutObjects;
  readonly cache: Cache;
  readonly seats: Seats;
  /** Of this worker alone, on the disk of the cache. */
  readonly folder: string;
  /** Without progress for so long an analysis is given up. */
  readonly stallMs: number;
}

/** The records, or what is wrong with that piece of work, in a sentence. What is wrong with the fleet is thrown. */
export type Performed = Result<readonly AnalysisRecord[], string>;

/** Whoever sends files is given so long for an answer before it is asked again. */
const ANSWER_MS = 5000;
/** Asked so often without an answer, whoever sent the work is gone. */
const MOST_UNANSWERED = 12;

export class SenderGone extends Error {}

/** Analyses within the time that progress is made in. */
function analyseWith(bench: WorkBench, task: AnalyseTask): Promise<Performed> {
  return bench.seats.with(async (pool, end) => {
    let stalled = false;
    let timer: NodeJS.Timeout | undefined;
    const wait = () => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        stalled = true;
        void end();
      }, bench.stallMs);
    };
    wait();
    try {
      const outcome = await pool.analyse({
        ...task,
        onProgress(share) {
          wait();
          task.onProgress?.(share);
        },
      });
      if (stalled) return fail(`It made no progress for ${Math.round(bench.stallMs / 1000)} s, and was given up.`);
      return outcome;
    } finally {
      clearTimeout(timer);
    }
  });
}

/** Samples of a recording out of the object store, or the cache. @param meta Of those samples, as SigMF. */
export function analyseSamples(
  bench: WorkBench,
  {
    hash,
    bytes,
    meta,
    ...task
  }: Omit<AnalyseTask, "path" | "dataAt"> & {
    readonly hash: string;
    readonly bytes: number;
    readonly meta: unknown;
  },
): Promise<Performed> {
  return bench.cache.with(
    hash,
    (to) => getFile(bench.recordings, hash, to),
    async (data) => {
      if (data === undefined) return fail("Its samples are not in the object store of the fleet.");
      const path = join(bench.folder, `${randomUUID()}.sigmf-meta`);
      await writeFile(path, JSON.stringify(meta));
      try {
        const outcome = await analyseWith(bench, { ...task, path, dataAt: { path: data, fromByte: 0, bytes } });
        return outcome.ok ? outcome : fail(outcome.error.replaceAll(data, "its samples"));
      } finally {
        await rm(path, { force: true });
      }
    },
  );
}

/**
 * Analyses the files of a study's input where they lie, if this machine has the same ones there, or else as they were
 * sent.
 *
 * @throws SenderGone where nobody sends them any more.
 */
export async function analyseInput(
  bench: WorkBench,
  task: InputTask,
  rest: Pick<AnalyseTask, "layouts" | "onProgress" | "signal">,
): Promise<Performed> {
  const [path = ""] = task.files;
  const hints = task.hints;
  if ((await fingerprint(task.files)) === task.fingerprint) return analyseWith(bench, { ...rest, path, hints });
  const files = await askFor(bench, task);
  const folder = join(bench.folder, randomUUID());
  await mkdir(folder);
  try {
    return await withAll(bench, files, folder, async (first) => {
      if (first === undefined) return fail("Its files went out of the object store before they were fetched.");
      const outcome = await analyseWith(bench, { ...rest, path: first, hints });
      // The sender knows it by its own path.
      return outcome.ok ? outcome : fail(outcome.error.replaceAll(folder, dirname(path)));
    });
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** Fetches all files, each under its own name, into one folder. */
function withAll<T>(
  bench: WorkBench,
  files: PutFiles,
  folder: string,
  use: (first: string | undefined) => Promise<T>,
): Promise<T> {
  const at = (name: string) => join(folder, name);
  const step = ([file, ...others]: PutFiles, first: string | undefined): Promise<T> => {
    if (!file) return use(first);
    return bench.cache.with(
      file.hash,
      (to) => getFile(bench.recordings, file.hash, to),
      async (cached) => {
        if (cached === undefined) return use(undefined);
        await link(cached, at(file.name));
        return step(others, first ?? at(file.name));
      },
    );
  };
  return step(files, undefined);
}

async function askFor({ connection }: WorkBench, task: InputTask): Promise<PutFiles> {
  for (let unanswered = 0; unanswered < MOST_UNANSWERED; ) {
    try {
      const answer = await connection.request(askSubject(task.order), "", { timeout: ANSWER_MS });
      // Empty: they are being sent.
      if (answer.data.length > 0) return PutFiles.parse(answer.json());
      unanswered = 0;
      await new Promise((resume) => setTimeout(resume, 200));
    } catch {
      unanswered++; // a second of two machines without a network is no reason to give up
      await new Promise((resume) => setTimeout(resume, 500));
    }
  }
  throw new SenderGone("Whoever sent it does not answer any more.");
}

export const LAYOUTS_MISSING = "The layouts it was to be tried with are not in the object store of the fleet.";
