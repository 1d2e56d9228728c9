import { parentPort } from "node:worker_threads";
import { type AirOrder, type AirResult, airTask } from "./airTask.ts";

// A thread that puts scenarios on the air, one after the other, so that the server goes on answering.

export interface AirCall {
  readonly task: number;
  readonly order: AirOrder;
}

export type AirReply =
  | { readonly task: number; readonly result: AirResult }
  | { readonly task: number; readonly because: string };

parentPort?.on("message", ({ task, order }: AirCall) => {
  airTask(order).then(
    (result) => parentPort?.postMessage({ task, result } satisfies AirReply),
    (error: unknown) =>
      parentPort?.postMessage({
        task,
        because: error instanceof Error ? error.message : String(error),
      } satisfies AirReply),
  );
});
