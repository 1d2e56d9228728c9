import { liveSamples } from "../../decoders/live.ts";
import { streamSamples } from "../recordings/blocks.ts";
import { sampleBytes } from "../recordings/recording.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** Samples without end, decoded as they come. */
export function samplesTask(order: OrderOf<"samples">, say: Say): RunningTask {
  const { stream, layouts } = order;
  const waiting: Uint8Array[] = [];
  let ended = false;
  let cancelled = false;
  let wake: (() => void) | undefined;
  return {
    take(message) {
      if (message.kind === "bytes") waiting.push(message.bytes);
      else ended = true;
      if (message.kind === "cancel") cancelled = true;
      wake?.();
    },
    until: run(),
  };

  async function run(): Promise<void> {
    const blocks = streamSamples(stream.name, arriving(), stream.sampleType);
    const source = { kind: "samples", file: stream.name, ...stream, blocks } as const;
    for await (const told of liveSamples(source, layouts)) {
      say({ kind: "told", told: [told], unsettled: 0 });
    }
  }

  /** What was sent, up to the last whole sample: a stream that breaks off does so anywhere. */
  async function* arriving(): AsyncGenerator<Uint8Array, void, undefined> {
    const size = sampleBytes(stream.sampleType);
    let rest: Uint8Array = new Uint8Array(0);
    while (!cancelled) {
      const bytes = waiting.shift();
      if (bytes) {
        const all = rest.length > 0 ? Buffer.concat([rest, bytes]) : bytes;
        const whole = all.length - (all.length % size);
        rest = all.subarray(whole);
        if (whole > 0) yield all.subarray(0, whole);
        say({ kind: "taken" });
      } else if (ended) return;
      else {
        await new Promise<void>((resume) => {
          wake = resume;
        });
      }
    }
  }
}
