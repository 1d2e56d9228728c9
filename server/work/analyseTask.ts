import { createHash } from "node:crypto";
import { analyse } from "../../decoders/analyse.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { Source } from "../../decoders/sources.ts";
import { type Recording, sampleBytes } from "../recordings/recording.ts";
import { openSource } from "./openSource.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** Records that go over together. */
const TOGETHER = 500;
/** Steps of progress that are told. */
const STEPS = 100;
/** What only receiver lines have. */
const NO_LINES = { badLines: 0, firstBad: undefined, startedAt: undefined };
/** Lines after which messages are let in. */
const LINES_A_TURN = 50;

/** A recording or receiver lines in a file, analysed as `wheelgram analyse` does. */
export function analyseTask(order: OrderOf<"analyse">, say: Say): RunningTask {
  let cancelled = false;
  return {
    take(message) {
      if (message.kind === "cancel") cancelled = true;
    },
    until: run(),
  };

  async function run(): Promise<void> {
    // What is wrong with single lines was told when the file was taken in.
    const opened = await openSource(order, () => undefined);
    if (!opened.ok) throw opened.error;
    const source: Source =
      opened.value.kind === "lines"
        ? { ...opened.value, lines: untilCancelled(opened.value.lines) }
        : counted(opened.value);
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

  async function* untilCancelled<T>(items: AsyncIterable<T> | Iterable<T>): AsyncGenerator<T, void, undefined> {
    let taken = 0;
    for await (const item of items) {
      yield item;
      if (++taken % LINES_A_TURN === 0) await new Promise((resume) => setImmediate(resume));
      if (cancelled) return;
    }
  }

  function counted(recording: Recording): Recording {
    const totalBytes = (recording.sampleCount ?? 0) * sampleBytes(recording.sampleType);
    return { ...recording, blocks: countedBlocks(recording.blocks, totalBytes) };
  }

  async function* countedBlocks(blocks: Recording["blocks"], totalBytes: number) {
    const hash = order.hash ? createHash("sha512") : undefined;
    let bytes = 0;
    let step = 0;
    for await (const block of blocks) {
      hash?.update(block);
      yield block;
      // Lets messages in, such as a receiver's lines: reading from a fast disk alone would not.
      await new Promise((resume) => setImmediate(resume));
      if (cancelled) return;
      bytes += block.length;
      if (bytes * STEPS < (step + 1) * totalBytes) continue;
      step = Math.floor((bytes * STEPS) / totalBytes);
      say({ kind: "progress", share: Math.min(1, bytes / totalBytes) });
    }
    if (hash) say({ kind: "hashed", hash: hash.digest("hex"), bytes, ...NO_LINES });
  }
}
