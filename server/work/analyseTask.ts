import { analyse } from "../../decoders/analyse.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { openStored } from "../recordings/openStored.ts";
import { sampleBytes } from "../recordings/recording.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** Records that go over together. */
const TOGETHER = 500;
/** Steps of progress that are told. */
const STEPS = 100;

/** A recording in a file, analysed as `wheelgram analyse` does. */
export function analyseTask(order: OrderOf<"analyse">, say: Say): RunningTask {
  let cancelled = false;
  return {
    take(message) {
      if (message.kind === "cancel") cancelled = true;
    },
    until: run(),
  };

  async function run(): Promise<void> {
    const opened = await openStored(order);
    if (!opened.ok) throw opened.error;
    const recording = opened.value;
    const totalBytes = (recording.sampleCount ?? 0) * sampleBytes(recording.sampleType);
    const source = { ...recording, blocks: counted(recording.blocks, totalBytes) };
    let records: AnalysisRecord[] = [];
    const send = () => {
      if (records.length > 0) say({ kind: "records", records });
      records = [];
    };
    for await (const record of analyse(source, order.layouts, { now: () => performance.now() })) {
      records.push(record);
      if (records.length >= TOGETHER) send();
    }
    if (!cancelled) send();
  }

  async function* counted(blocks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>, totalBytes: number) {
    let bytes = 0;
    let step = 0;
    for await (const block of blocks) {
      yield block;
      // Lets messages in, such as a receiver's lines: reading from a fast disk alone would not.
      await new Promise((resume) => setImmediate(resume));
      if (cancelled) return;
      bytes += block.length;
      if (bytes * STEPS < (step + 1) * totalBytes) continue;
      step = Math.floor((bytes * STEPS) / totalBytes);
      say({ kind: "progress", share: Math.min(1, bytes / totalBytes) });
    }
  }
}
