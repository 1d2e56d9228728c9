import { EventEmitter } from "node:events";
import type { Socket } from "node:net";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { createAccess } from "../../server/http/access.ts";
import type { StoredDevice } from "../../server/store/store.ts";

const DAY_MS = 24 * 3600_000;

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

/** Keeps devices; a change waits for `go`. */
function slowStore() {
  const kept = new Map<string, StoredDevice>();
  let go: () => void = () => undefined;
  return {
    go: () => go(),
    addDevice: async (device: StoredDevice) => void kept.set(device.id, device),
    devices: async () => [...kept.values()],
    removeDevice: async (id: string) => kept.delete(id),
    changeDevice: async (id: string) => {
      const was = kept.has(id);
      await new Promise<void>((resume) => {
        go = resume;
      });
      return was;
    },
  };
}

async function withDevice() {
  const store = slowStore();
  const stamp = () => new Date().toISOString();
  const access = await createAccess(store, { now: () => Date.now(), stamp });
  const { key, device } = await access.claim(access.pair().code, "the tablet", "10.0.0.7");
  return { store, access, key, device };
}

it("a device that is let go while its new name is being written stays out", async () => {
  const { store, access, key, device } = await withDevice();
  const renaming = access.rename(device.id, "bay 2");
  await access.revoke(device.id);
  store.go();
  expect(await renaming).toBeUndefined();
  expect(access.deviceOf(key)).toBeUndefined();
  expect(access.devices()).toEqual([]);
});

it("what a device has open does not outlive its key", async () => {
  const { access, device } = await withDevice();
  const destroy = vi.fn();
  access.seenOn(device, Object.assign(new EventEmitter(), { destroy }) as unknown as Socket);
  vi.advanceTimersByTime(89 * DAY_MS);
  expect(destroy).not.toHaveBeenCalled();
  vi.advanceTimersByTime(DAY_MS + 20_000);
  expect(destroy).toHaveBeenCalledOnce();
});
