import { randomBytes } from "node:crypto";
import { readFile, writeFile } from "node:fs/promises";
import { hostname } from "node:os";
import { join } from "node:path";
import type { Hub } from "../receivers/hub.ts";
import type { LinesElsewhere } from "../receivers/runReceiver.ts";
import type { Store, StoredEvent } from "../store/store.ts";
import type { FleetAddress } from "./address.ts";
import { createFleetHub } from "./fleetHub.ts";
import { ownReceivers, takingRecordings } from "./home.ts";
import { createLineKeeper } from "./lineKeeper.ts";
import { joinMembers, memberName } from "./members.ts";
import { type Fleet, openFleet } from "./openFleet.ts";

export interface ServerFleetOptions {
  readonly address: FleetAddress;
  readonly storeAddress: string;
  /** `undefined`: the one that it had before, or one that is made. */
  readonly name: string | undefined;
  readonly version: string;
  readonly say: (sentence: string) => void;
  readonly signal: AbortSignal;
}

/** A server's part of a fleet. */
export interface ServerFleet extends Fleet {
  /** Where lines of its receivers go. */
  readonly lines: LinesElsewhere;
  /** The store as its receivers see it. */
  readonly ownStore: Store;
  /** The store as whatever takes recordings at this server sees it. */
  readonly takingStore: Store;
  /** The receivers of this server beside those of the others, of whom events tell. */
  readonly withOthers: (own: Hub, events: FleetEvents) => Promise<Hub>;
  /** What is not kept yet is given up after a while: it was not acknowledged. */
  readonly giveUpSoon: () => void;
}

/** Events of the whole fleet. */
export interface FleetEvents {
  listen(lastNumber: undefined, listener: FleetListener): Promise<() => void>;
}

interface FleetListener {
  readonly tell: (event: StoredEvent) => void;
  readonly begin: (number: number) => void;
  readonly end: () => void;
  readonly room: () => Promise<boolean>;
}

const GRACE_MS = 5000;

/** @returns `undefined` if it was given up. @throws As `openFleet`. */
export async function openServerFleet(folder: string, options: ServerFleetOptions): Promise<ServerFleet | undefined> {
  const name =
    options.name ?? (await keptName(folder)) ?? memberName(`${hostname()}-${randomBytes(2).toString("hex")}`);
  await writeFile(join(folder, NAME_FILE), `${name}\n`);
  const fleet = await openFleet({ ...options, name });
  if (!fleet) return undefined;
  const { connection, streams, store } = fleet;
  const ending = new AbortController();
  let grace: NodeJS.Timeout | undefined;
  const lines = createLineKeeper({ connection, streams, store, say: options.say, signal: ending.signal });
  const since = new Date().toISOString();
  const members = joinMembers(streams.members, () => ({
    kind: "server",
    name,
    since,
    version: options.version,
    partitions: [],
    busy: [],
    counts: {},
  }));
  return {
    ...fleet,
    lines,
    ownStore: ownReceivers(store, name),
    takingStore: takingRecordings(store, name),
    async withOthers(own, events) {
      const hub = createFleetHub(own, store);
      await events.listen(undefined, {
        tell: hub.note,
        begin: () => undefined,
        end: () => undefined,
        room: async () => true,
      });
      return hub;
    },
    giveUpSoon() {
      grace ??= setTimeout(() => ending.abort(), GRACE_MS);
    },
    async close() {
      clearTimeout(grace);
      ending.abort();
      await members.stop();
      await fleet.close();
    },
  };
}

/** Receivers belong to this name. */
const NAME_FILE = "server-name";

async function keptName(folder: string): Promise<string | undefined> {
  try {
    return memberName((await readFile(join(folder, NAME_FILE), "utf8")).trim());
  } catch {
    return undefined; // its first start
  }
}
