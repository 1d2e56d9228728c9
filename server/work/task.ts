import type { FromWorker, Order, ToWorker } from "./messages.ts";

type WithoutTask<T> = T extends unknown ? Omit<T, "task"> : never;

/** Says something to the server in a task's name. */
export type Say = (word: WithoutTask<FromWorker>) => void;

export type OrderOf<Kind extends Order["kind"]> = Extract<Order, { readonly kind: Kind }>;

/** A task in a worker. */
export interface RunningTask {
  readonly take: (message: ToWorker) => void;
  /** Settles when it is over; what it rejects with is told as the reason. */
  readonly until: Promise<void>;
}

/**
 * A task that answers what it is sent and has nothing to do in between.
 *
 * @param take Answers a message; `"over"`: the task is done. What it throws ends the task and is told as the reason.
 */
export function answering(take: (message: ToWorker) => "over" | undefined): RunningTask {
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
        if (take(message) === "over") over?.();
      } catch (error) {
        fails?.(error);
      }
    },
  };
}
