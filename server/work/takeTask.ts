import { InputError } from "../recordings/inputError.ts";
import { openStored } from "../recordings/openStored.ts";
import { takeSamples } from "../recordings/takeSamples.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** Steps of progress that are told. */
const STEPS = 400;

/** Hash, envelope and, where asked for, a copy of a recording in a file. */
export function takeTask(order: OrderOf<"take">, say: Say): RunningTask {
  const abort = new AbortController();
  return {
    take(message) {
      if (message.kind === "cancel") abort.abort();
    },
    until: run(),
  };

  async function run(): Promise<void> {
    const opened = await openStored(order);
    if (!opened.ok) throw opened.error;
    let step = 0;
    const taken = await takeSamples(opened.value, {
      copyTo: order.copyTo,
      envelopeTo: order.envelopeTo,
      signal: abort.signal,
      onProgress(share) {
        if (share * STEPS < step + 1) return;
        step = Math.floor(share * STEPS);
        say({ kind: "progress", share });
      },
    });
    say({ kind: "samples taken", ...taken });
  }
}

/** What of an error the server needs to tell a poor recording from a failing disk. */
export function codeOf(error: unknown): string | undefined {
  if (error instanceof InputError) return "refused";
  return error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : undefined;
}
