import { createLive } from "../../decoders/live.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** Bursts of a receiver, decoded as they come. */
export function linesTask(order: OrderOf<"lines">, say: Say): RunningTask {
  const live = createLive(order.file, order.layouts, order.originSeconds);
  let over: (() => void) | undefined;
  let fails: ((error: unknown) => void) | undefined;
  const until = new Promise<void>((resume, reject) => {
    over = resume;
    fails = reject;
  });
  return {
    until,
    take(message) {
      try {
        if (message.kind === "bursts") {
          const told = message.lines.flatMap((line) => live.push(line));
          say({ kind: "told", told, unsettled: live.unsettled() });
        } else if (message.kind === "quiet") {
          say({ kind: "told", told: live.quiet(message.seconds), unsettled: live.unsettled() });
        } else over?.();
      } catch (error) {
        fails?.(error);
      }
    },
  };
}
