import { fail } from "../recordings/result.ts";
import type { Objects } from "./objects.ts";
import { analyseInput, LAYOUTS_MISSING, type Performed, SenderGone, type WorkBench } from "./perform.ts";
import type { InputTask } from "./workTask.ts";

/** Over, with what came of it kept; to be tried later without blame; or why it failed, in a sentence. */
export type Outcome = "over" | "later" | { readonly because: string };

/** What a piece of work hears while it is done. */
export interface At {
  readonly signal: AbortSignal;
  readonly onProgress: (share: number) => void;
}

/** Analyses an input of a study; the result goes into the object store under the task's key. */
export async function performInput(
  bench: WorkBench & { readonly results: Objects },
  task: InputTask,
  at: At,
): Promise<Outcome> {
  if (await bench.results.has(task.key)) return "over";
  const outcome = await analysed(bench, task, at);
  if (outcome === undefined) return "over";
  if (at.signal.aborted) throw new Error("It was stopped.");
  if (!outcome.ok) return { because: outcome.error };
  await bench.results.put(task.key, Buffer.from(JSON.stringify({ ok: true, records: outcome.value })));
  return "over";
}

async function analysed(bench: WorkBench, task: InputTask, at: At): Promise<Performed | undefined> {
  const layouts = await bench.layouts.get(task.layouts);
  if (!layouts) return fail(LAYOUTS_MISSING);
  try {
    return await analyseInput(bench, task, { ...at, layouts });
  } catch (error) {
    // Whoever goes on with the study sends it again.
    if (error instanceof SenderGone) return undefined;
    throw error;
  }
}
