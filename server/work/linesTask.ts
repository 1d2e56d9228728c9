import { createLive } from "../../decoders/live.ts";
import { answering, type OrderOf, type RunningTask, type Say } from "./task.ts";

/** Bursts of a receiver, decoded as they come. */
export function linesTask(order: OrderOf<"lines">, say: Say): RunningTask {
  const live = createLive(order.file, order.layouts, order.originSeconds);
  return answering((message) => {
    if (message.kind === "bursts") {
      const told = message.lines.flatMap((line) => live.push(line));
      say({ kind: "told", told, unsettled: live.unsettled() });
    } else if (message.kind === "quiet") {
      say({ kind: "told", told: live.quiet(message.seconds), unsettled: live.unsettled() });
    } else return "over";
    return undefined;
  });
}
