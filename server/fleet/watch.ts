import type { Store } from "../store/store.ts";
import { findAside, tryAgain } from "./again.ts";
import { readFleetStatus, type StatusSources } from "./readStatus.ts";
import type { FleetStatus } from "./status.ts";

/** The fleet as the pages of one of its servers see it. */
export interface FleetWatch {
  /** Asked by many at once it is looked once a second. */
  readonly status: () => Promise<FleetStatus>;
  /** The last one, without looking; `undefined` before the first. */
  readonly last: () => FleetStatus | undefined;
  /** Puts what was set aside back into the queue. @returns `false`: there is none of that id. */
  readonly again: (id: string) => Promise<boolean>;
}

const KEPT_MS = 900;

export function watchFleet(
  sources: StatusSources & { readonly nats: NonNullable<StatusSources["nats"]> },
  store: Pick<Store, "setAnalysis" | "recording" | "appendEvents">,
): FleetWatch {
  let asked: { readonly atMs: number; readonly status: Promise<FleetStatus> } | undefined;
  let last: FleetStatus | undefined;
  return {
    status() {
      if (!asked || performance.now() - asked.atMs > KEPT_MS) {
        asked = { atMs: performance.now(), status: readFleetStatus(sources) };
        void asked.status.then((status) => {
          last = status;
        });
      }
      return asked.status;
    },
    last: () => last,
    async again(id) {
      const { found } = await findAside(sources.nats.streams, id);
      if (!found) return false;
      await tryAgain(sources.nats.streams, store, found);
      return true;
    },
  };
}
