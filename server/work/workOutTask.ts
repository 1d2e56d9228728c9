import { workOut } from "../../decoders/workshop/workOut.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** All that a worksheet comes to. */
export function workOutTask({ sheet }: OrderOf<"work out">, say: Say): RunningTask {
  return { take: () => undefined, until: run() };

  async function run(): Promise<void> {
    say({ kind: "worked out", worked: workOut(sheet) });
  }
}
