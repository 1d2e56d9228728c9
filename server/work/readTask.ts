import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { packReading } from "../../decoders/frames/packReading.ts";
import { createSampleReader } from "../../decoders/frames/readSamples.ts";
import { heardBurst } from "../../decoders/signal/heardBurst.ts";
import { answering, type OrderOf, type RunningTask, type Say } from "./task.ts";

/** Bursts of a recording, read one by one. */
export function readTask(order: OrderOf<"read">, say: Say): RunningTask {
  const plans = order.layouts.map(framePlan);
  const read = createSampleReader(plans);
  return answering((message) => {
    if (message.kind !== "burst") return "over";
    const reading = read(heardBurst(message.burst), message.tuning);
    say({ kind: "reading", reading: packReading(reading, plans) });
    return undefined;
  });
}
