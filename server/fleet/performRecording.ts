import type { AnalysisRecord } from "../../decoders/records.ts";
import { sampleBytes } from "../recordings/recording.ts";
import { storedMetadata } from "../recordings/storedMetadata.ts";
import type { AnalysisState, Store } from "../store/store.ts";
import type { Orders } from "./orders.ts";
import { analyseSamples, LAYOUTS_MISSING, type WorkBench } from "./perform.ts";
import type { At, Outcome } from "./performInput.ts";
import { recordingTelegrams } from "./recordingTelegrams.ts";
import type { RecordingTask } from "./workTask.ts";

export interface RecordingBench extends WorkBench {
  readonly store: Pick<Store, "recording" | "setAnalysis" | "saveAnalysis" | "appendEvents">;
  readonly orders: Orders;
  /** Milliseconds since 1970. */
  readonly now: () => number;
}

/** Progress is told once in so many milliseconds. */
const TELL_EVERY_MS = 500;

/** Analyses a recording of the house; all that comes of it is saved as the house itself would save it. */
export async function performRecording(bench: RecordingBench, task: RecordingTask, at: At): Promise<Outcome> {
  const { store, orders, now } = bench;
  const { hash, order } = task;
  // What was asked for anew, stopped or taken away meanwhile is not what it was.
  const isWanted = async () => (await orders.wanted(hash)) === order;
  if (!(await isWanted())) return "over";
  const recording = await store.recording(hash);
  if (!recording) {
    await orders.drop(hash, order);
    return "over";
  }
  const layouts = await bench.layouts.get(task.layouts);
  if (!layouts) return { because: LAYOUTS_MISSING };
  let telling = tell(store, hash, { state: "running", because: null, progress: 0 });
  telling.catch(() => undefined); // it is waited for below
  let toldMs = now();
  const outcome = await analyseSamples(bench, {
    hash,
    bytes: recording.sampleCount * sampleBytes(recording.sampleType),
    meta: storedMetadata(recording),
    layouts,
    signal: at.signal,
    onProgress(share) {
      at.onProgress(share);
      if (now() - toldMs < TELL_EVERY_MS || at.signal.aborted) return;
      toldMs = now();
      telling = telling.then(() => tell(store, hash, { state: "running", because: null, progress: share }));
      telling.catch(() => undefined);
    },
  });
  await telling;
  if (at.signal.aborted) throw new Error("It was stopped.");
  if (!outcome.ok) return { because: outcome.error };
  if (!(await isWanted())) return "over";
  const records = outcome.value.map((record): AnalysisRecord => ({ ...record, file: recording.name }));
  await store.saveAnalysis(hash, records, recordingTelegrams(recording, records, layouts));
  await publish(store, hash, { state: "done", because: null, progress: 1 });
  await orders.drop(hash, order);
  return "over";
}

/** Of a recording that was set aside. */
export async function tellFailed(
  { store, orders }: Pick<RecordingBench, "store" | "orders">,
  { hash, order }: RecordingTask,
  tries: number,
  because: string,
): Promise<void> {
  if ((await orders.wanted(hash)) !== order) return;
  await tell(store, hash, { state: "failed", because: `Set aside after ${tries} tries. ${because}`, progress: 0 });
  await orders.drop(hash, order);
}

async function tell(
  store: Pick<Store, "setAnalysis" | "recording" | "appendEvents">,
  hash: string,
  analysis: AnalysisState,
): Promise<void> {
  await store.setAnalysis(hash, analysis);
  await publish(store, hash, analysis);
}

/** Of one that was taken away meanwhile nothing is told any more, or it would come back on the pages. */
async function publish(
  store: Pick<Store, "recording" | "appendEvents">,
  hash: string,
  analysis: AnalysisState,
): Promise<void> {
  if (await store.recording(hash)) {
    await store.appendEvents([{ type: "recording", text: JSON.stringify({ hash, analysis }) }]);
  }
}
