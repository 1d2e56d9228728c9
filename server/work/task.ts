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
