import { type Deduced, deduce, workOut } from "../../decoders/workshop/workOut.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** What was deduced last, by all that it depends on. */
let last: { readonly key: string; readonly deduced: Deduced } | undefined;

/** All that a worksheet comes to. Where only what it is called changed, nothing is deduced anew. */
export function workOutTask({ id, sheet }: OrderOf<"work out">, say: Say): RunningTask {
  return { take: () => undefined, until: run() };

  async function run(): Promise<void> {
    const { naming: _naming, ...decided } = sheet.now;
    const key = JSON.stringify([id, sheet.bursts.length, sheet.logs.length, decided]);
    last = last?.key === key ? last : { key, deduced: deduce(sheet) };
    say({ kind: "worked out", worked: workOut(sheet, last.deduced) });
  }
}
