import { type MessagePort, parentPort } from "node:worker_threads";
import { analyseTask } from "./analyseTask.ts";
import { cutTask } from "./cutTask.ts";
import { hashTask } from "./hashTask.ts";
import { linesTask } from "./linesTask.ts";
import { measureTask } from "./measureTask.ts";
import type { FromWorker, Order, ToWorker } from "./messages.ts";
import { readTask } from "./readTask.ts";
import { samplesTask } from "./samplesTask.ts";
import { codeOf, takeTask } from "./takeTask.ts";
import type { RunningTask, Say } from "./task.ts";
import { workOutTask } from "./workOutTask.ts";

// A worker thread: decodes what the server hands it, several tasks in turn, as their samples and lines come.

if (parentPort) serve(parentPort);

function serve(port: MessagePort): void {
  const tasks = new Map<number, RunningTask>();
  port.on("message", (message: ToWorker) => {
    const { task } = message;
    if (message.kind !== "begin") {
      tasks.get(task)?.take(message);
      return;
    }
    const say: Say = (word) => port.postMessage({ ...word, task } satisfies FromWorker);
    const running = begin(message.order, say);
    tasks.set(task, running);
    running.until
      .then(
        () => say({ kind: "done" }),
        (error: unknown) =>
          say({
            kind: "failed",
            because: error instanceof Error ? error.message : String(error),
            code: codeOf(error),
          }),
      )
      .finally(() => tasks.delete(task));
  });
}

function begin(order: Order, say: Say): RunningTask {
  switch (order.kind) {
    case "analyse":
      return analyseTask(order, say);
    case "hash":
      return hashTask(order, say);
    case "take":
      return takeTask(order, say);
    case "lines":
      return linesTask(order, say);
    case "samples":
      return samplesTask(order, say);
    case "read":
      return readTask(order, say);
    case "measure":
      return measureTask(order, say);
    case "cut":
      return cutTask(order, say);
    case "work out":
      return workOutTask(order, say);
  }
}
