import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { packReading } from "../../decoders/frames/packReading.ts";
import { createSampleReader } from "../../decoders/frames/readSamples.ts";
import { heardBurst } from "../../decoders/signal/heardBurst.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** Bursts of a recording, read one by one. */
export function readTask(order: OrderOf<"read">, say: Say): RunningTask {
  const plans = order.layouts.map(framePlan);
  const read = createSampleReader(plans);
  let over: (() => void) | undefined;
  let fails: ((error: unknown) => void) | undefined;
  const until = new Promise<void>((resume, reject) => {
    over = resume;
    fails = reject;
  });
  return {
    until,
    take(message) {
      if (message.kind !== "burst") return over?.();
      try {
        const reading = read(heardBurst(message.burst), message.tuning);
        say({ kind: "reading", reading: packReading(reading, plans) });
      } catch (error) {
        fails?.(error);
      }
    },
  };
}
