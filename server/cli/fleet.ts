import type { FleetAddress } from "../fleet/address.ts";
import { findAside, tryAgain } from "../fleet/again.ts";
import { connectFleet } from "../fleet/connect.ts";
import { FleetError } from "../fleet/fleetError.ts";
import { readFleetStatus, type StatusSources } from "../fleet/readStatus.ts";
import { fleetLines } from "../fleet/statusLines.ts";
import { openStreams } from "../fleet/streams.ts";
import { openPostgresStore } from "../store/postgres/postgres.ts";
import type { Store } from "../store/store.ts";
import { StoreError } from "../store/storeError.ts";
import type { Desk, Status } from "./desk.ts";

export interface FleetArguments {
  readonly fleet: FleetAddress;
  readonly store: string;
  readonly again?: string;
  readonly json?: true;
}

/** Whoever looks does not wait for servers that are away. */
const LONGEST_MS = 3000;

/**
 * `wheelgram fleet`: how a fleet stands, as a table for people or JSON Lines for programs; with --again, puts what was
 * set aside back into the queue.
 *
 * @returns 1 if something has stopped, or what was asked for could not be done; 2 for what is not there; else 0.
 */
export async function fleet(desk: Desk, { fleet: address, store: at, again, json }: FleetArguments): Promise<Status> {
  const { complain, write } = desk;
  const store = await storeAt(at);
  const nats = await natsAt(address).catch((error: unknown) => {
    if (!(error instanceof FleetError)) throw error;
    return error.message;
  });
  try {
    if (typeof nats === "string") {
      complain(`wheelgram: ${nats}`);
      return 1;
    }
    if (again !== undefined) return await putBack(desk, nats, store, again);
    const status = await readFleetStatus({ servers: address.servers, nats, store, now: Date.now });
    if (json) for (const line of linesFor(status)) await write(`${JSON.stringify(line)}\n`);
    else await write(`${fleetLines(status, Date.now()).join("\n")}\n`);
    return status.troubles.some(({ strength }) => strength === "stop") ? 1 : 0;
  } finally {
    if (typeof store !== "string") await store.close();
    if (typeof nats !== "string") await nats?.connection.close();
  }
}

/** The store, or why there is none. */
async function storeAt(address: string): Promise<Store | string> {
  try {
    return await openPostgresStore(address);
  } catch (error) {
    if (error instanceof StoreError) return error.message.replace(/\.$/, "");
    throw error;
  }
}

async function natsAt(address: FleetAddress): Promise<StatusSources["nats"]> {
  const signal = AbortSignal.timeout(LONGEST_MS);
  const options = { name: "fleet", say: () => undefined, signal };
  const connection = await connectFleet(address, options);
  const streams = connection && (await openStreams(connection, options));
  if (streams) return { connection, streams };
  await connection?.close();
  return undefined;
}

async function putBack(
  { complain, write }: Desk,
  nats: StatusSources["nats"],
  store: Store | string,
  id: string,
): Promise<Status> {
  if (nats === undefined || typeof store === "string") {
    const what = nats === undefined ? "NATS" : "PostgreSQL";
    complain(`wheelgram: --again: ${what} does not answer; see wheelgram fleet without --again.`);
    return 1;
  }
  const { found, isOpen } = await findAside(nats.streams, id);
  if (!found) {
    const allowed = isOpen ? "more of the id: several begin so" : "an id or a name that wheelgram fleet shows";
    complain(`wheelgram: --again: found ${JSON.stringify(id)}, allowed ${allowed}`);
    return 2;
  }
  await tryAgain(nats.streams, store, found);
  await write(`${found.name} is in the queue again, with three tries.\n`);
  return 0;
}

/** One line for each thing, so that a program may look for its kind alone. */
function linesFor({
  troubles,
  nats,
  store,
  receivers,
  members,
  lag,
  aside,
  at,
}: Awaited<ReturnType<typeof readFleetStatus>>) {
  return [
    { kind: "fleet", at, by: nats.by, store, lag },
    ...troubles.map((one) => ({ kind: "trouble", ...one })),
    ...nats.servers.map((one) => ({ kind: "nats", ...one })),
    ...(nats.streams ?? []).map((one) => ({ kind: "stream", ...one })),
    ...members.map(({ kind, ...one }) => ({ kind, ...one })),
    ...receivers.map((one) => ({ kind: "receiver", ...one })),
    ...aside.map(({ kind, ...one }) => ({ kind: "aside", of: kind, ...one })),
  ];
}
