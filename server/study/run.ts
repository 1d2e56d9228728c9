import { rm } from "node:fs/promises";
import { fileError } from "../recordings/inputError.ts";
import type { Pool } from "../work/pool.ts";
import { analyseInput } from "./analyseInput.ts";
import { studyFiles } from "./folder.ts";
import type { StudyInput } from "./input.ts";
import { dropResults } from "./kept.ts";
import type { StudyRunner } from "./runner.ts";
import { soonAfterAbort } from "./soonAfterAbort.ts";
import type { Study, StudyView } from "./study.ts";

export interface RunOptions {
  readonly runner: StudyRunner;
  /** Once aborted, `run` settles within a second. */
  readonly signal: AbortSignal;
  /** What failed is tried again. */
  readonly retryFailed?: boolean;
  /** Called whenever an input's state, or the share done of one that runs, has changed. */
  readonly onChange?: (index: number) => void;
}

export interface RunOutcome {
  readonly interrupted: boolean;
  /** How many inputs this run has brought to `done` or `failed`. */
  readonly analysed: number;
}

interface Running {
  readonly view: StudyView;
  /** Of all inputs; changed as they go. */
  readonly states: StudyInput[];
  readonly results: { areThere: boolean };
  readonly pool: Pick<Pool, "hash">;
}

/** What runs a study, as `Study.run`. */
export function createRun({ view, states, results, pool }: Running): Study["run"] {
  const { folder, layouts } = view;

  return async (o) => {
    try {
      return await run(o);
    } catch (error) {
      throw fileError(folder, error, "a folder that can be written");
    }
  };

  async function run(o: RunOptions): Promise<RunOutcome> {
    const { signal } = o;
    const change = (index: number, to: Pick<StudyInput, "state" | "because" | "share">) => {
      const input = states[index];
      if (input) states[index] = { ...input, ...to };
      o.onChange?.(index);
    };
    const todo = states.filter(({ state }) => state === "waiting" || (state === "failed" && o.retryFailed));
    if (todo.length > 0 && results.areThere) {
      results.areThere = false;
      await dropResults(folder);
    }
    let [next, analysed, isBroken] = [0, 0, false];
    const work = async () => {
      for (let one = todo[next++]; one && !signal.aborted && !isBroken; one = todo[next++]) {
        const before = { state: one.state, because: one.because, share: undefined };
        change(one.index, { state: "running", because: undefined, share: 0 });
        const { runner } = o;
        const onProgress = (share: number) => change(one.index, { ...RUNNING, share });
        const outcome = await analyseInput(one, { folder, layouts, pool, runner, signal, onProgress });
        if (outcome === undefined) return change(one.index, before);
        analysed++;
        change(one.index, { because: undefined, ...outcome, share: undefined });
      }
    };
    const working = Promise.all(Array.from({ length: Math.max(1, o.runner.size) }, work)).catch((error: unknown) => {
      isBroken = true; // a disk that is full is full for all of them
      throw error;
    });
    await Promise.race([working, soonAfterAbort(signal)]);
    for (const { index, state } of states) if (state === "running") change(index, WAITING);
    if (signal.aborted) return { interrupted: true, analysed };
    await o.runner.rest();
    return { interrupted: !(await finish(signal)), analysed };
  }

  /** @returns Whether the results are there. */
  async function finish(signal: AbortSignal): Promise<boolean> {
    if (results.areThere) return true;
    try {
      // Tables, plots and statistics take packages with them that nothing else of a study needs.
      const { makeResults } = await import("./makeResults.ts");
      await makeResults({ ...view, inputs: states }, signal);
      results.areThere = true;
      return true;
    } catch (error) {
      if (!signal.aborted) throw error;
      await rm(studyFiles(folder).newResults, { recursive: true, force: true });
      return false;
    }
  }
}

const RUNNING = { state: "running", because: undefined } as const;
const WAITING = { state: "waiting", because: undefined, share: undefined } as const;
