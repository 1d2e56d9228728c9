import { randomUUID } from "node:crypto";
import type { Socket } from "node:net";
import { hashOfSecret, isSecret, newSecret } from "../receivers/secret.ts";
import type { Store, StoredDevice } from "../store/store.ts";
import { Problem } from "./problem.ts";

/** Who may come in from the network: one-time codes, and the keys that they are swapped for. */
export interface Access {
  /** A code that lets one device in, once. */
  readonly pair: () => { readonly code: string; readonly expiresAt: string };
  /**
   * Swaps a code for a key. @param from Whose tries are counted together.
   *
   * @throws Problem `not-paired` for a code that is not known, was used or is too old; `too-many` after too many tries.
   */
  readonly claim: (
    code: string,
    name: string,
    from: string,
  ) => Promise<{ readonly key: string; readonly device: StoredDevice }>;
  /** Whose key it is; `undefined` for one that is not known or has run out. */
  readonly deviceOf: (key: string) => StoredDevice | undefined;
  /** Counts a key that is nobody's. @throws Problem `too-many` after too many of them. */
  readonly wrongKey: (from: string) => void;
  readonly devices: () => readonly StoredDevice[];
  readonly rename: (id: string, name: string) => Promise<StoredDevice | undefined>;
  /** Cuts every connection of the device at once. */
  readonly revoke: (id: string) => Promise<boolean>;
  /** A connection on which the device was let in. */
  readonly seenOn: (device: StoredDevice, socket: Socket) => void;
}

/** 128 bits are asked for; twice as many cost nothing. @source OWASP ASVS 5.0, 7.2.3. */
const KEY_BYTES = 32;
const CODE_BYTES = 16;
const CODE_MS = 5 * 60_000;
const MOST_CODES = 5;
const KEY_MS = 90 * 24 * 3600_000;
/** A device is written down as seen so seldom, so that reading writes nothing. */
const SEEN_MS = 3600_000;
/** How long after its end a key may still be listened by. */
const SWEEP_MS = 10_000;

export async function createAccess(
  store: Pick<Store, "addDevice" | "devices" | "changeDevice" | "removeDevice">,
  { now, stamp }: { readonly now: () => number; readonly stamp: () => string },
): Promise<Access> {
  const known = new Map((await store.devices()).map((device) => [device.id, device]));
  const codes = new Map<string, number>(); // hash to when it runs out
  const sockets = new Map<string, Set<Socket>>();
  // What a device has open does not outlive its key; a stream of events asks for nothing again.
  setInterval(() => {
    for (const id of sockets.keys()) {
      const device = known.get(id);
      if (!device || isOver(device.expiresAt)) cut(id);
    }
  }, SWEEP_MS).unref();
  // Apart, so that the old keys of a tablet that was let go do not stand in the way of its new code.
  const codeTries = createTries(now);
  const keyTries = createTries(now);

  function cut(id: string): void {
    for (const socket of sockets.get(id) ?? []) socket.destroy();
    sockets.delete(id);
  }

  function isOver(at: string): boolean {
    return Date.parse(at) <= now();
  }

  function withKey(key: string): StoredDevice | undefined {
    let found: StoredDevice | undefined;
    for (const device of known.values()) if (isSecret(key, device.keyHash)) found = device; // all, so that it takes as long
    return found;
  }

  return {
    pair() {
      for (const [hash, until] of codes) if (until <= now()) codes.delete(hash);
      const [oldest] = codes.keys();
      if (codes.size >= MOST_CODES && oldest !== undefined) codes.delete(oldest);
      const code = newSecret(CODE_BYTES);
      const until = now() + CODE_MS;
      codes.set(hashOfSecret(code), until);
      return { code, expiresAt: new Date(until).toISOString() };
    },
    async claim(code, name, from) {
      codeTries.refuseTooMany(from);
      const hash = hashOfSecret(code);
      const until = codes.get(hash);
      codes.delete(hash); // used, whatever comes of it
      if (until === undefined || until <= now()) {
        codeTries.wrong(from);
        throw new Problem("not-paired", "This code is not known, was used already, or has run out.", {
          nextSteps: ["Ask for a new code at the computer that runs Wheelgram, and open it here within five minutes."],
        });
      }
      const key = newSecret(KEY_BYTES);
      const device: StoredDevice = {
        id: randomUUID().slice(0, 8),
        name,
        keyHash: hashOfSecret(key),
        addedAt: stamp(),
        seenAt: null,
        expiresAt: new Date(now() + KEY_MS).toISOString(),
      };
      await store.addDevice(device);
      known.set(device.id, device);
      return { key, device };
    },
    deviceOf(key) {
      const device = withKey(key);
      return device && !isOver(device.expiresAt) ? device : undefined;
    },
    wrongKey(from) {
      keyTries.refuseTooMany(from);
      keyTries.wrong(from);
    },
    devices: () => [...known.values()],
    async rename(id, name) {
      const device = known.get(id);
      if (!device || !(await store.changeDevice(id, { name }))) return undefined;
      const renamed = { ...(known.get(id) ?? device), name };
      if (!known.has(id)) return undefined; // let go meanwhile
      known.set(id, renamed);
      return renamed;
    },
    async revoke(id) {
      known.delete(id); // from here on its key opens nothing
      cut(id);
      return store.removeDevice(id);
    },
    seenOn(device, socket) {
      const own = sockets.get(device.id) ?? new Set();
      sockets.set(device.id, own);
      if (!own.has(socket)) {
        own.add(socket);
        socket.once("close", () => own.delete(socket));
      }
      if (device.seenAt !== null && now() - Date.parse(device.seenAt) < SEEN_MS) return;
      const seenAt = stamp();
      known.set(device.id, { ...device, seenAt });
      store.changeDevice(device.id, { seenAt }).catch(() => undefined); // that it was seen is no more than a comfort
    },
  };
}

const TRIES_MS = 60_000;
/** Wrong tries of one address in a minute. */
const MOST_WRONG = 10;

/** Wrong tries by address, so that nobody goes on guessing. */
export interface Tries {
  /** @throws Problem `too-many` */
  readonly refuseTooMany: (from: string) => void;
  readonly wrong: (from: string) => void;
}

/**
 * Counts wrong codes or keys by address, and never those of all together: whoever sends a hundred wrong ones would
 * otherwise shut out everybody else. 128 bits cannot be guessed anyway.
 */
export function createTries(now: () => number, most = MOST_WRONG): Tries {
  let since = now();
  const wrong = new Map<string, number>();
  const begin = () => {
    if (now() - since < TRIES_MS && now() >= since) return;
    since = now();
    wrong.clear();
  };
  return {
    refuseTooMany(from) {
      begin();
      if ((wrong.get(from) ?? 0) < most) return;
      const seconds = Math.ceil((since + TRIES_MS - now()) / 1000);
      throw new Problem("too-many", "Too many wrong codes or keys.", { headers: { "Retry-After": String(seconds) } });
    },
    wrong(from) {
      begin();
      wrong.set(from, (wrong.get(from) ?? 0) + 1);
    },
  };
}
