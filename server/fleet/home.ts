import type { Store } from "../store/store.ts";

// A receiver belongs to the server where it was set up: the port or the device is there. A recording belongs to the
// server that took it: its samples are there.

/** Of the store: which server a receiver belongs to. */
export function homeSetting(receiverId: string): string {
  return `home of receiver ${receiverId}`;
}

/** Of the store: which server took a recording. */
export function homeOfRecording(hash: string): string {
  return `home of recording ${hash}`;
}

/** The store as whatever takes recordings at one server sees it. */
export function takingRecordings(store: Store, server: string): Store {
  return {
    ...store,
    async addRecording(recording, notes) {
      await store.setSetting(homeOfRecording(recording.hash), server);
      return store.addRecording(recording, notes);
    },
    async setPlace(hash, place) {
      await store.setSetting(homeOfRecording(hash), server);
      return store.setPlace(hash, place);
    },
  };
}

/** The store as the receivers of one server see it: its own and no others, and when it was alive itself. */
export function ownReceivers(store: Store, server: string): Store {
  const ownName = (name: string) => (name === "alive" ? `alive ${server}` : name);
  return {
    ...store,
    async receivers() {
      const all = await store.receivers();
      const homes = await Promise.all(all.map(({ id }) => homeOf(store, id, server)));
      return all.filter((_, i) => homes[i] === server);
    },
    async addReceiver(receiver) {
      await store.setSetting(homeSetting(receiver.id), server);
      await store.addReceiver(receiver);
    },
    setting: (name) => store.setting(ownName(name)),
    setSetting: (name, value) => store.setSetting(ownName(name), value),
  };
}

/** One that belongs to nobody, as from a time before there was a fleet, is taken by the first server that comes. */
async function homeOf(store: Store, id: string, server: string): Promise<string> {
  const home = await store.setting(homeSetting(id));
  if (home !== undefined) return home;
  await store.setSetting(homeSetting(id), server);
  return server;
}
