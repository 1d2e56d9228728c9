import type { NatsConnection } from "nats";
import { openPostgresStore, type PostgresStore } from "../store/postgres/postgres.ts";
import { StoreError } from "../store/storeError.ts";
import type { FleetAddress } from "./address.ts";
import { connectFleet, pause } from "./connect.ts";
import { type FleetStreams, openStreams } from "./streams.ts";

export interface FleetOptions {
  readonly address: FleetAddress;
  /** `postgres://…` */
  readonly storeAddress: string;
  /** Of this server or worker; no other has it. */
  readonly name: string;
  readonly say: (sentence: string) => void;
  /** Gives up waiting for what does not answer. */
  readonly signal: AbortSignal;
}

/** What servers and workers of a fleet share. */
export interface Fleet {
  readonly name: string;
  readonly connection: NatsConnection;
  readonly streams: FleetStreams;
  readonly store: PostgresStore;
  readonly close: () => Promise<void>;
}

const AGAIN_MS = 1000;

/**
 * Waits for NATS and PostgreSQL as long as that takes.
 *
 * @returns `undefined` if it was given up.
 * @throws StoreError for a database that cannot hold the store, or an address that is none; FleetError for streams of
 *   another program.
 */
export async function openFleet({
  address,
  storeAddress,
  name,
  say,
  signal,
}: FleetOptions): Promise<Fleet | undefined> {
  const store = await openStore(storeAddress, say, signal);
  if (!store) return undefined;
  const connection = await connectFleet(address, { name, say, signal });
  const close = async () => {
    await connection?.close();
    await store.close();
  };
  try {
    const streams = connection && (await openStreams(connection, { say, signal }));
    if (connection && streams) return { name, connection, streams, store, close };
  } catch (error) {
    await close();
    throw error;
  }
  await close();
  return undefined;
}

async function openStore(
  address: string,
  say: (sentence: string) => void,
  signal: AbortSignal,
): Promise<PostgresStore | undefined> {
  let told = "";
  while (!signal.aborted) {
    try {
      const store = await openPostgresStore(address);
      if (told !== "") say("PostgreSQL answers.");
      return store;
    } catch (error) {
      const isAway = error instanceof StoreError && error.code === "unreachable" && error.file !== "--store";
      if (!isAway) throw error;
      if (error.message !== told) say(`${error.message} It is tried again every ${AGAIN_MS / 1000} s.`);
      told = error.message;
      await pause(AGAIN_MS, signal);
    }
  }
  return undefined;
}
