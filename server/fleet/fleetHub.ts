import type { Hub, HubEvent } from "../receivers/hub.ts";
import { type ReceiverStatus, receiverStatus } from "../receivers/status.ts";
import type { Store, StoredEvent } from "../store/store.ts";
import { homeSetting } from "./home.ts";

/** The receivers of one server, and what is known of those of the others. */
export interface FleetHub extends Hub {
  /** Something happened in the fleet. */
  readonly note: (event: StoredEvent) => void;
}

/** @param hub Those of this server. */
export function createFleetHub(hub: Hub, store: Store): FleetHub {
  const told = new Map<string, ReceiverStatus>(); // what the others said last

  async function others(): Promise<ReceiverStatus[]> {
    const own = new Set((await hub.receivers()).map(({ id }) => id));
    const all = await store.receivers();
    return Promise.all(all.filter(({ id }) => !own.has(id)).map(statusOf));
  }

  async function statusOf(receiver: Awaited<ReturnType<Store["receivers"]>>[number]): Promise<ReceiverStatus> {
    const said = told.get(receiver.id);
    if (said) return said;
    const home = await store.setting(homeSetting(receiver.id));
    const faring = {
      state: "stopped" as const,
      says: `It belongs to server ${home ?? "nobody"}, which has said nothing of it yet.`,
      since: receiver.addedAt,
      lastHeardAt: null,
      provedAt: null,
      selfCheck: null,
      mustWait: false,
      carrierHz: [],
      lines: await store.lineCount(receiver.id),
      ...(await store.heardCounts(receiver.id)),
    };
    return receiverStatus(receiver, faring, await store.gapsOf(receiver.id));
  }

  return {
    ...hub,
    receivers: async () => [...(await hub.receivers()), ...(await others())],
    receiver: async (id) => (await hub.receiver(id)) ?? (await others()).find((other) => other.id === id),
    async elsewhere(id) {
      if (await hub.receiver(id)) return undefined;
      return await store.setting(homeSetting(id));
    },
    note({ type, text }) {
      if (type !== "receiver" && type !== "burst" && type !== "telegram") return;
      // What stands in the store as an event was written by one of us.
      const event = { type, body: JSON.parse(text) } as HubEvent;
      if (event.type === "receiver") told.set(event.body.id, event.body);
      else if (event.type === "burst") hub.hear(event.body.receiverId, [event.body.burst], []);
      else if (event.body.receiverId) hub.hear(event.body.receiverId, [], [event.body]);
    },
  };
}
